"""Files into a catalogue and out again, and a run's report, over HTTP and on both databases."""

import json
import threading
import time

import httpx
import pytest

from tests.service.problem_checks import problem_in

CSV = (
    "recipe,title,line,ingredient,quantity,unit\n"
    "panel,Lantern panel,3 1/2 cups all-purpose flour,,,\n"
    "panel,,,unsalted butter,227,g\n"
    "panel,,1 egg,,,\n"
    "panel,,1 1/2 tsp baking soda,,,\n"
    "roof,=Roof,2 cups all-purpose flour,,,\n"
    "roof,,2 armfuls of petals,,,\n"
)
KINDS = {
    "csv": "text/csv",
    "ndjson": "application/x-ndjson",
    "json_ld": "application/ld+json",
}


@pytest.fixture
def panels(baker):
    """The address of an empty catalogue."""
    return f"/v1/catalogues/{baker.make('/v1/catalogues', {'title': 'Panels'})['id']}"


def bring(who, catalogue, body, kind="csv", key=None):
    headers = {"Content-Type": KINDS.get(kind, kind), **({"Idempotency-Key": key} if key else {})}
    return who.post(f"{catalogue}/import", content=body, headers=headers)


def counts(answer: httpx.Response):
    assert answer.status_code == 200, answer.text
    summary = answer.json()
    return tuple(
        summary[name] for name in ("created", "updated", "unchanged", "unreadable", "left_out")
    )


def versions(who, catalogue):
    found = who.pages(f"/v1/recipes?catalogue={catalogue.rsplit('/', 1)[-1]}", "recipes")
    return {recipe["external_id"]: recipe["version"] for recipe in found}


def test_a_file_is_brought_in_and_again_changes_nothing(baker, panels):
    """The second time everything is there already, and no version is new."""
    first = bring(baker, panels, CSV)
    assert counts(first) == (2, 0, 0, 1, 0)
    [fault] = first.json()["faults"]
    assert (fault["external_id"], fault["line"]) == ("roof", 2)
    assert counts(bring(baker, panels, CSV)) == (0, 0, 2, 1, 0)
    assert versions(baker, panels) == {"panel": 1, "roof": 1}


def test_a_file_sent_again_under_its_key_is_answered_as_before(baker, panels):
    """To the byte, and marked; what has changed meanwhile stays as it is."""
    first = bring(baker, panels, CSV, key="once")
    assert counts(first) == (2, 0, 0, 1, 0)
    bring(baker, panels, CSV.replace("227", "226"))
    again = bring(baker, panels, CSV, key="once")
    assert (again.status_code, again.content) == (200, first.content)
    assert again.headers["idempotent-replay"] == "true"
    assert "idempotent-replay" not in first.headers
    assert versions(baker, panels) == {"panel": 2, "roof": 1}


def test_another_file_under_a_used_key_is_refused_and_not_stored(baker, panels):
    """The whole file is read to tell, and nothing of it is kept."""
    bring(baker, panels, CSV, key="once")
    other = bring(baker, panels, CSV.replace("panel", "door"), key="once")
    assert problem_in(other, 422)["type"] == "/problems/key-reused"
    assert versions(baker, panels) == {"panel": 1, "roof": 1}


def test_a_file_that_was_refused_leaves_its_key_free(baker, panels):
    """Sent again mended, it is stored."""
    assert bring(baker, panels, "no,columns\n1,2\n", key="once").status_code == 422
    assert counts(bring(baker, panels, CSV, key="once")) == (2, 0, 0, 1, 0)


def test_what_changed_becomes_a_version(baker, panels):
    """Only the recipe that differs gets a new version; the old one stays."""
    bring(baker, panels, CSV)
    assert counts(bring(baker, panels, CSV.replace("1 egg", "2 eggs"))) == (0, 1, 1, 1, 0)
    assert versions(baker, panels) == {"panel": 2, "roof": 1}


@pytest.mark.parametrize("kind", ["csv", "ndjson"])
def test_what_is_exported_comes_back_without_a_change(baker, panels, kind):
    """A catalogue exported and imported is the same catalogue, unread recipes and all."""
    bring(baker, panels, CSV)
    own = {"name": "zorkling", "role": "flour", "water_percent": 13, "fat_percent": 0}
    recipe = {"lines": [{"text": "1 egg"}], "custom_ingredients": [own]}
    stored = {"recipe": recipe, "catalogue_id": panels.rsplit("/", 1)[-1]}
    baker.make("/v1/recipes", stored)  # without an external id, and with more said than need be
    page = {"@type": "Recipe", "name": "Door", "recipeIngredient": ["1 egg"], "recipeYield": "2"}
    bring(baker, panels, json.dumps(page), "json_ld")
    exported = baker.get(f"{panels}/export?format={kind}")
    assert exported.headers["content-type"].startswith(KINDS[kind])
    assert exported.headers["content-disposition"] == f'attachment; filename="catalogue.{kind}"'
    assert counts(bring(baker, panels, exported.content, kind)) == (0, 0, 4, 1, 0)


def test_json_ld_goes_out_with_everything_that_came(baker, panels):
    """Members that are nobody's business here are written back."""
    page = {"@type": "Recipe", "name": "Door", "recipeIngredient": ["1 egg"], "recipeYield": "2"}
    html = f"<script type='application/ld+json'>{json.dumps(page)}</script>"
    assert counts(bring(baker, panels, html, "text/html; charset=utf-8")) == (1, 0, 0, 0, 0)
    (written,) = baker.get(f"{panels}/export?format=json_ld").json()
    assert {name: written[name] for name in page} == page
    assert counts(bring(baker, panels, json.dumps(written), "json_ld")) == (0, 0, 1, 0, 0)


def test_the_export_is_ndjson_unless_it_is_asked_otherwise(baker, panels):
    """NDJSON loses nothing, so it is what one gets."""
    bring(baker, panels, CSV)
    lines = baker.get(f"{panels}/export").text.splitlines()
    assert [json.loads(line)["external_id"] for line in lines] == ["panel", "roof"]
    problem_in(baker.get(f"{panels}/export?format=xml"), 422)


def test_no_exported_cell_is_a_formula(baker, panels):
    """A title that opens as a formula goes out as text."""
    bring(baker, panels, CSV)
    assert '"\'=Roof"' in baker.get(f"{panels}/export?format=csv").text


def test_another_callers_catalogue_is_not_there(baker, stranger, panels):
    """Neither to bring recipes in nor to take them out, and nothing is changed by trying."""
    bring(baker, panels, CSV)
    problem_in(bring(stranger, panels, CSV.replace("1 egg", "2 eggs")), 404)
    problem_in(bring(stranger, panels, ""), 404)
    problem_in(stranger.get(f"{panels}/export"), 404)
    assert versions(baker, panels) == {"panel": 1, "roof": 1}


def test_the_same_external_id_is_another_recipe_for_another_caller(baker, stranger, panels):
    """What one brings in never touches what another has."""
    theirs = f"/v1/catalogues/{stranger.make('/v1/catalogues', {'title': 'Theirs'})['id']}"
    bring(baker, panels, CSV)
    assert counts(bring(stranger, theirs, CSV.replace("1 egg", "2 eggs"))) == (2, 0, 0, 1, 0)
    assert versions(baker, panels) == {"panel": 1, "roof": 1}


@pytest.mark.parametrize(
    ("headers", "status"),
    [
        ({"Content-Type": "application/json"}, 415),
        ({"Content-Type": "text/csv; charset=latin-1"}, 415),
        ({"Content-Type": "text/csv", "Content-Encoding": "gzip"}, 415),
        ({}, 415),
    ],
)
def test_a_file_of_no_known_kind_is_refused(baker, panels, headers, status):
    """What the file is must be said, and must be one of the kinds that are read."""
    problem_in(baker.post(f"{panels}/import", content=b"1 egg", headers=headers), status)


def test_a_file_without_columns_is_refused_whole(baker, panels):
    """Nothing is brought in from a file that does not say what its columns are."""
    problem_in(bring(baker, panels, "1 egg\n"), 422)
    assert versions(baker, panels) == {}


def test_a_file_may_be_larger_than_any_other_body(baker, panels):
    """A file of 3 MB comes in, piece by piece."""

    async def pieces():
        yield b"recipe,line,kept\n"
        for i in range(30):
            yield f'r{i},1 egg,"{{""note"": ""{"x" * 100_000}""}}"\n'.encode()

    headers = {"Content-Type": "text/csv"}
    answer = baker.post(f"{panels}/import", content=pieces(), headers=headers)
    assert counts(answer) == (30, 0, 0, 0, 0)


def test_imports_of_one_file_at_once_have_one_effect(baker, panels):
    """Four at a time: each recipe is there once, in one version, whoever was first."""
    rows = "".join(f"r{i},1 egg\n" for i in range(300))
    answers: list[httpx.Response] = []

    def once():
        answers.append(bring(baker, panels, f"recipe,line\n{rows}"))

    threads = [threading.Thread(target=once) for _ in range(4)]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    done = [counts(answer) for answer in answers if answer.status_code == 200]
    assert sum(created for created, *_ in done) == 300
    assert {x.status_code for x in answers} <= {200, 503}
    assert set(versions(baker, panels).values()) == {1}


def test_a_run_is_reported_and_its_recipes_exported(baker, panels):
    """What moved and what could not be read is told; the reformulated recipes come as files."""
    bring(baker, panels, CSV)
    brief = {
        "catalogue_id": panels.rsplit("/", 1)[-1],
        "window": {"flour_to_fat": {"min": 2.1, "max": 2.4}},
    }
    run = baker.post("/v1/runs", json=brief).json()
    address = f"/v1/runs/{run['id']}"
    until = time.monotonic() + 50
    while baker.get(address).json()["state"] != "finished" and time.monotonic() < until:
        time.sleep(0.05)
    report = baker.get(f"{address}/report")
    assert report.headers["content-type"] == "text/markdown; charset=utf-8"
    assert "unsalted butter" in report.text or "all-purpose flour" in report.text
    assert "petals" in report.text
    page = baker.get(f"{address}/report?format=html")
    assert "style-src 'sha256-" in page.headers["content-security-policy"]
    assert page.text.startswith("<!doctype html>")
    (panel, roof) = baker.get(f"{address}/recipes?format=json_ld").json()
    assert panel["recipeIngredient"] != ["3 1/2 cups all-purpose flour", "227 g unsalted butter"]
    assert roof["recipeIngredient"][1] == "2 armfuls of petals"


def test_another_callers_run_is_not_there(baker, stranger, panels):
    """Neither its report nor its recipes."""
    run = baker.post(
        "/v1/runs",
        json={"catalogue_id": panels.rsplit("/", 1)[-1], "window": {"flour_to_fat": {"min": 2}}},
    ).json()
    for part in ("report", "recipes"):
        problem_in(stranger.get(f"/v1/runs/{run['id']}/{part}"), 404)
