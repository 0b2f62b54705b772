"""Kitchens and their trials: told as they were baked, and forgotten where told wrong."""

import pytest

from tests.service.problem_checks import problem_in


@pytest.fixture
def kitchen(baker):
    """The address of a kitchen."""
    return f"/v1/kitchens/{baker.make('/v1/kitchens', {'name': 'The stone oven'})['id']}"


@pytest.fixture
def trial(recipe):
    """A bake that cracked finely, with a flat round baked beside it."""
    return {
        "recipe": recipe,
        "powder_strength": 0.3,
        "target": {
            "form": {"kind": "cylinder", "diameter_mm": 80, "wrap_degrees": 150},
            "thickness_mm": 4,
            "chilled": True,
        },
        "outcome": {
            "crack_grade": 1,
            "slipped": False,
            "flat_round": {"diameter_mm": 60, "growth_mm": 4.5},
        },
        "baked_at": "2026-11-11T16:00:00+01:00",
        "note": "The lantern-makers' first of the season.",
    }


def test_a_kitchen_is_added_and_found(baker, kitchen):
    """It has a name and an address, and is in the list."""
    assert baker.get(kitchen).json()["name"] == "The stone oven"
    [listed] = baker.pages("/v1/kitchens", "kitchens")
    assert f"/v1/kitchens/{listed['id']}" == kitchen


def test_a_trial_comes_back_as_it_was_told(baker, kitchen, trial):
    """What was told is what is kept, at an address of its own and in the kitchen's list."""
    answer = baker.post(f"{kitchen}/trials", json=trial)
    assert answer.status_code == 201
    assert answer.headers["location"] == f"{kitchen}/trials/{answer.json()['id']}"
    kept = baker.get(answer.headers["location"])
    assert kept.content == answer.content
    assert kept.json()["trial"] == trial
    assert baker.get(f"{kitchen}/trials").json() == {"trials": [kept.json()]}


def test_a_length_may_be_told_in_words(baker, kitchen, trial):
    """Inches are kept as the millimetres that they are."""
    trial["outcome"]["flat_round"] = {"diameter_mm": "2 1/2 in", "growth_mm": "1/8 in"}
    kept = baker.make(f"{kitchen}/trials", trial)["trial"]["outcome"]["flat_round"]
    assert kept == {"diameter_mm": 63.5, "growth_mm": 3.175}


@pytest.mark.parametrize(
    ("wrong", "where"),
    [
        ({"outcome": {"crack_grade": 5}}, "/outcome/crack_grade"),
        ({"outcome": {"crack_grade": 1.5}}, "/outcome/crack_grade"),
        ({"outcome": {"crack_grade": True}}, "/outcome/crack_grade"),
        ({"outcome": {}}, "/outcome/crack_grade"),
        ({"target": None}, "/target"),
        ({"baked_at": "2026-11-11T16:00:00"}, "/baked_at"),
        ({"note": "a\0b"}, "/note"),
        ({"recipe": {"lines": [{"text": "1 cup sugar"}]}}, "/recipe/lines"),
    ],
)
def test_a_trial_that_cannot_be_is_refused(baker, kitchen, trial, wrong, where):
    """A grade that is none, a moment without its zone, a dough without flour: each where it is."""
    [fault] = problem_in(baker.post(f"{kitchen}/trials", json={**trial, **wrong}), 422)["errors"]
    assert fault["pointer"] == where


def test_a_trial_needs_its_kitchen(baker, trial):
    """A kitchen that is not there has no trials, old or new."""
    problem_in(baker.post("/v1/kitchens/nowhere/trials", json=trial), 404)
    problem_in(baker.get("/v1/kitchens/nowhere/trials"), 404)


def test_a_trial_told_wrong_is_forgotten(baker, kitchen, trial):
    """Forgotten, it is in no list and has no address; under another kitchen's it never had one."""
    made = baker.make(f"{kitchen}/trials", trial)["id"]
    elsewhere = f"/v1/kitchens/{baker.make('/v1/kitchens', {'name': 'Another'})['id']}"
    problem_in(baker.ask("DELETE", f"{elsewhere}/trials/{made}"), 404)
    assert baker.ask("DELETE", f"{kitchen}/trials/{made}").status_code == 204
    problem_in(baker.get(f"{kitchen}/trials/{made}"), 404)
    problem_in(baker.ask("DELETE", f"{kitchen}/trials/{made}"), 404)
    assert baker.get(f"{kitchen}/trials").json() == {"trials": []}


def test_kitchens_and_trials_come_in_pages(baker, kitchen, trial):
    """Page by page, in the order in which they were told."""
    told = [baker.make(f"{kitchen}/trials", trial)["id"] for _ in range(5)]
    listed = baker.pages(f"{kitchen}/trials?limit=2", "trials")
    assert [entry["id"] for entry in listed] == told
    for name in ("B", "C"):
        baker.make("/v1/kitchens", {"name": name})
    names = [entry["name"] for entry in baker.pages("/v1/kitchens?limit=1", "kitchens")]
    assert names == ["The stone oven", "B", "C"]
