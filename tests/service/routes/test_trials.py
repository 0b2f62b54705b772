"""Trials: told tray by tray, corrected without losing what was told, and in and out as files."""

import copy
import json

import pytest

from tests.service.problem_checks import problem_in


@pytest.fixture
def kitchen(baker):
    """The address of a kitchen."""
    return f"/v1/kitchens/{baker.make('/v1/kitchens', {'name': 'The stone oven'})['id']}"


SLID = {"crack_grade": 1, "slipped": True}


@pytest.fixture
def tray(recipe):
    """A tray of two thicknesses, with a flat round baked beside the pieces."""
    return {
        "recipe": recipe,
        "powder_strength": 0.3,
        "form": {"kind": "cylinder", "diameter_mm": 80, "wrap_degrees": 150, "length_mm": 120},
        "chilled": True,
        "sheets": [
            {
                "thickness_mm": 4,
                "pieces": [{"crack_grade": 2}, {"crack_grade": 1, "slipped": True}],
            },
            {"thickness_mm": 3, "pieces": [{"crack_grade": 0}]},
        ],
        "flat_round": {"thickness_mm": 4, "before_mm": 60, "after_mm": 64.5},
        "handling": 1,
        "texture": 0,
        "baked_at": "2026-11-11T16:00:00+01:00",
        "photographs": ["drums/first.jpg"],
        "note": "The lantern-makers' first of the season.",
    }


def test_a_trial_comes_back_as_it_was_told(baker, kitchen, tray):
    """What was told is what is kept, at an address of its own and in the kitchen's list."""
    answer = baker.post(f"{kitchen}/trials", json=tray)
    assert answer.status_code == 201, answer.text
    assert answer.headers["location"] == f"{kitchen}/trials/{answer.json()['id']}"
    kept = baker.get(answer.headers["location"])
    assert kept.content == answer.content
    assert kept.json()["trial"] == tray
    assert baker.get(f"{kitchen}/trials").json() == {"trials": [kept.json()]}


def test_a_length_may_be_told_in_words(baker, kitchen, tray):
    """Inches are kept as the millimetres that they are."""
    tray["flat_round"] = {"thickness_mm": "1/8 in", "before_mm": "2 1/2 in", "after_mm": "2 5/8 in"}
    kept = baker.make(f"{kitchen}/trials", tray)["trial"]["flat_round"]
    assert kept == {"thickness_mm": 3.175, "before_mm": 63.5, "after_mm": 66.675}


def with_member(tray, where, value):
    """Return a tray with one member told otherwise."""
    changed = copy.deepcopy(tray)
    *steps, last = where
    inner = changed
    for step in steps:
        inner = inner[step]
    inner[last] = value
    return changed


@pytest.mark.parametrize(
    ("where", "wrong", "fault"),
    [
        (("sheets", 0, "pieces", 0, "crack_grade"), 5, "/sheets/0/pieces/0/crack_grade"),
        (("sheets", 0, "pieces", 0, "crack_grade"), 1.5, "/sheets/0/pieces/0/crack_grade"),
        (("sheets", 0, "pieces", 0, "crack_grade"), True, "/sheets/0/pieces/0/crack_grade"),
        (("sheets", 0, "pieces"), [], "/sheets/0/pieces"),
        (("sheets", 1, "thickness_mm"), 4, "/sheets/1/thickness_mm"),
        (("sheets",), [], None),
        (("handling",), 3, "/handling"),
        (("flat_round", "after_mm"), 600, "/flat_round/after_mm"),
        (("flat_round", "after_mm"), 30, "/flat_round/after_mm"),
        (("form",), {"kind": "flat_round", "diameter_mm": 80}, "/sheets/0/pieces/1/slipped"),
        (("form",), None, "/form"),
        (("baked_at",), "2026-11-11T16:00:00", "/baked_at"),
        (("note",), "a\0b", "/note"),
        (("recipe", "lines"), [{"text": "1 cup sugar"}], "/recipe/lines"),
    ],
)
def test_a_trial_that_cannot_be_is_refused(baker, kitchen, tray, where, wrong, fault):
    """A grade that is none, pieces of a dough that could not be shaped, a round that trebled, a
    flat piece that slid: each is named where it stands. A round alone is a trial."""
    answer = baker.post(f"{kitchen}/trials", json=with_member(tray, where, wrong))
    if fault is None:
        assert answer.status_code == 201
        return
    [found] = problem_in(answer, 422)["errors"]
    assert found["pointer"] == fault


def test_nothing_happened_is_no_trial(baker, kitchen, tray):
    """Without a piece, a round or a word on the handling there is nothing to learn from."""
    bare = {"recipe": tray["recipe"], "form": tray["form"]}
    [fault] = problem_in(baker.post(f"{kitchen}/trials", json=bare), 422)["errors"]
    assert fault["pointer"] == "/sheets"
    assert baker.post(f"{kitchen}/trials", json={**bare, "handling": 3}).status_code == 201


def test_a_correction_keeps_what_was_told_before(baker, kitchen, tray):
    """A trial told anew is at its next version; its history has every telling, the first first."""
    made = baker.post(f"{kitchen}/trials", json=tray)
    address, seen = made.headers["location"], {"If-Match": made.headers["etag"]}
    better = with_member(tray, ("sheets", 0, "pieces", 0, "crack_grade"), 3)
    corrected = baker.ask("PUT", address, json=better, headers=seen)
    assert (corrected.status_code, corrected.json()["version"]) == (200, 2)
    assert baker.get(address).json()["trial"] == better
    history = baker.pages(f"{address}/versions?limit=1", "versions")
    assert [(telling["version"], telling["trial"]) for telling in history] == [
        (1, tray),
        (2, better),
    ]
    problem_in(baker.ask("PUT", address, json=tray, headers=seen), 412)


def test_a_trial_needs_its_kitchen(baker, tray):
    """A kitchen that is not there has no trials, old or new."""
    problem_in(baker.post("/v1/kitchens/nowhere/trials", json=tray), 404)
    problem_in(baker.get("/v1/kitchens/nowhere/trials"), 404)


def test_a_trial_is_forgotten_by_whoever_saw_it(baker, kitchen, tray):
    """Forgotten, it is in no list and has no address; under another kitchen's it never had one."""
    made = baker.make(f"{kitchen}/trials", tray)["id"]
    any_state = {"If-Match": "*"}
    elsewhere = f"/v1/kitchens/{baker.make('/v1/kitchens', {'name': 'Another'})['id']}"
    problem_in(baker.ask("DELETE", f"{elsewhere}/trials/{made}", headers=any_state), 404)
    problem_in(baker.ask("DELETE", f"{kitchen}/trials/{made}"), 428)
    assert baker.ask("DELETE", f"{kitchen}/trials/{made}", headers=any_state).status_code == 204
    problem_in(baker.get(f"{kitchen}/trials/{made}"), 404)
    problem_in(baker.ask("DELETE", f"{kitchen}/trials/{made}", headers=any_state), 404)
    assert baker.get(f"{kitchen}/trials").json() == {"trials": []}


def test_trials_come_in_pages(baker, kitchen, tray):
    """Page by page, in the order in which they were told."""
    told = [baker.make(f"{kitchen}/trials", tray)["id"] for _ in range(3)]
    listed = baker.pages(f"{kitchen}/trials?limit=2", "trials")
    assert [entry["id"] for entry in listed] == told


NDJSON, CSV = "application/x-ndjson", "text/csv"


def send_file(baker, kitchen, kind, content):
    return baker.post(f"{kitchen}/import", content=content, headers={"Content-Type": kind})


@pytest.mark.parametrize(("form", "kind"), [("ndjson", NDJSON), ("csv", CSV)])
def test_what_goes_out_comes_in_again(baker, kitchen, tray, form, kind):
    """A file of a kitchen's trials sent back changes nothing; with its kitchen's name taken out,
    sent to another kitchen, it makes the same trials there, and once."""
    round_alone = {**{k: tray[k] for k in ("recipe", "form", "flat_round")}}
    plain = {**tray, "recipe": {"title": "Drums", "lines": [{"text": "2 cups flour, sifted"}]}}
    told = [tray, round_alone, plain]
    for each in told:
        baker.make(f"{kitchen}/trials", each)
    written = baker.get(f"{kitchen}/export?format={form}").text
    again = send_file(baker, kitchen, kind, written).json()
    assert (again["created"], again["unchanged"], again["faults"]) == (0, 3, [])
    other = f"/v1/kitchens/{baker.make('/v1/kitchens', {'name': 'Another'})['id']}"
    mixed = send_file(baker, other, kind, written).json()
    assert (mixed["created"], mixed["left_out"]) == (0, 3)
    assert "another kitchen" in mixed["faults"][0]["message"]
    name = kitchen.rpartition("/")[2]
    nameless = written.replace(name, "") if form == "csv" else written.replace(f'"{name}"', "null")
    assert send_file(baker, other, kind, nameless).json()["created"] == 3
    assert send_file(baker, other, kind, nameless).json()["unchanged"] == 3
    assert [one["trial"] for one in baker.pages(f"{other}/trials", "trials")] == told


def test_a_file_of_nonsense_is_left_out_line_by_line(baker, kitchen, tray):
    """What is no trial is named with its place and why; the rest is kept."""
    lines = ["no json", "[]", json.dumps({"recipe": 3}), json.dumps(tray), '{"id": 7, "trial": 1}']
    told = send_file(baker, kitchen, NDJSON, "\n".join(lines)).json()
    assert (told["created"], told["left_out"]) == (1, 4)
    assert [fault["row"] for fault in told["faults"]] == [1, 2, 3, 5]
    rows = "recipe,form,thickness_mm,crack_grade\n2 cups flour,drum,3,1\n2 cups flour,,x,y\n"
    told = send_file(baker, kitchen, CSV, rows).json()
    assert (told["created"], told["left_out"]) == (0, 2)
    [fault] = send_file(baker, kitchen, CSV, "{}").json()["faults"]
    assert (fault["row"], "names the columns" in fault["message"]) == (1, True)
    problem_in(send_file(baker, kitchen, "text/plain", "a"), 415)
