"""Runs over HTTP: started, followed, cancelled, and read in every form."""

import csv
import io
import json
import time
import uuid

import pytest

from service.app import create_app
from service.settings import Settings
from tests.service.conftest import Caller, RunningApp
from tests.service.problem_checks import problem_in
from tests.service.runs.shop import lines_of

RECIPES = 12
WINDOW = {"flour_to_fat": {"min": 1.8}}


@pytest.fixture
def catalogue(baker):
    """A catalogue of twelve recipes."""
    made = baker.make("/v1/catalogues", {"title": "Panels"})["id"]
    for i in range(RECIPES):
        recipe = {"title": f"=Dough {i}", "lines": [{"text": line} for line in lines_of(i)]}
        baker.make("/v1/recipes", {"catalogue_id": made, "external_id": f"d{i}", "recipe": recipe})
    return made


def start(caller, catalogue, **more):
    brief = {"catalogue_id": catalogue, "window": WINDOW, **more}
    answer = caller.post("/v1/runs", json=brief)
    assert answer.status_code == 202, answer.text
    return answer


def finished(caller, catalogue, **more):
    """Start a run, wait for its end, and return its address."""
    address = start(caller, catalogue, **more).headers["location"]
    until = time.monotonic() + 60
    while caller.get(address).json()["state"] != "finished":
        assert time.monotonic() < until, caller.get(address).text
        time.sleep(0.05)
    return address


def test_a_run_is_accepted_and_comes_to_its_end(baker, catalogue):
    """202 with an address; there the run is counted until every recipe is done."""
    limits = {"keep": ["all-purpose flour"]}
    answer = start(baker, catalogue, limits=limits)
    assert answer.headers["location"] == f"/v1/runs/{answer.json()['id']}"
    assert (answer.json()["total"], answer.json()["brief"]["limits"]) == (RECIPES, limits)
    run = baker.get(finished(baker, catalogue, limits=limits)).json()
    assert run["id"] == answer.json()["id"]
    assert run["done"] == sum(run["outcomes"].values()) == RECIPES
    assert run["outcomes"]["failed"] == run["outcomes"]["unreadable"] == 0
    assert run["recipes_per_second"] > 0
    assert run["id"] in [known["id"] for known in baker.pages("/v1/runs?limit=1", "runs")]


def test_a_run_is_told_as_it_goes(baker, catalogue):
    """The stream ends with the run; its last event is the run as a GET shows it. A caller who
    comes back after that is told that there is no more; a strange Last-Event-ID harms nobody."""
    address = start(baker, catalogue, measures="scale").headers["location"]
    answer = baker.get(f"{address}/events", headers={"Last-Event-ID": "nobody-knows"})
    assert answer.headers["content-type"].startswith("text/event-stream")
    events = [
        dict(line.split(": ", 1) for line in event.splitlines())
        for event in answer.text.strip().split("\n\n")
        if not event.startswith(":")
    ]
    assert [event["event"] for event in events] == ["progress"] * (len(events) - 1) + ["end"]
    done = [json.loads(event["data"])["done"] for event in events]
    assert done == sorted(done)
    assert json.loads(events[-1]["data"]) == baker.get(address).json()
    again = baker.get(f"{address}/events", headers={"Last-Event-ID": events[-1]["id"]})
    assert (again.status_code, again.content) == (204, b"")
    assert baker.get(f"{address}/events").text.count("event: end") == 1


def test_items_are_the_same_in_every_form(baker, catalogue):
    """Page by page, as NDJSON and as CSV: the same recipes in the same order, of any one outcome
    too; the form is asked for by name or by Accept."""
    address = finished(baker, catalogue)
    pages = baker.pages(f"{address}/items?limit=5", "items")
    assert [item["external_id"] for item in pages] == [f"d{i}" for i in range(RECIPES)]
    ndjson = baker.get(f"{address}/items?format=ndjson")
    assert ndjson.headers["content-type"].startswith("application/x-ndjson")
    assert [json.loads(line) for line in ndjson.text.splitlines()] == pages
    accepted = {"Accept": "application/x-ndjson"}
    assert baker.get(f"{address}/items", headers=accepted).content == ndjson.content
    rows = list(csv.DictReader(io.StringIO(baker.get(f"{address}/items?format=csv").text)))
    assert [row["outcome"] for row in rows] == [item["outcome"] for item in pages]
    moved = [item for item in pages if item["outcome"] == "reformulated"]
    assert 0 < len(moved) < RECIPES
    assert baker.pages(f"{address}/items?limit=2&outcome=reformulated", "items") == moved
    rest = baker.get(f"{address}/items?format=ndjson&cursor=9").text.splitlines()
    assert [json.loads(line)["position"] for line in rest] == [10, 11]


def test_a_spreadsheet_runs_nothing_of_it(baker, catalogue):
    """A title that begins as a formula does comes with an apostrophe; costs stay numbers."""
    text = baker.get(f"{finished(baker, catalogue)}/items?format=csv").text
    row = next(csv.DictReader(io.StringIO(text)))
    assert row["title"] == "'=Dough 0"
    assert float(row["cost"]) > 0
    assert " to " in row["moved"]


def test_an_item_says_what_was_left_out_and_what_is_wrong(baker):
    """Names that a recipe lacks are told with its answer; one without flour has its faults."""
    made = baker.make("/v1/catalogues", {"title": "Odd"})["id"]
    for lines in (lines_of(0), ["2 eggs", "1/3 cup molasses"]):
        recipe = {"lines": [{"text": line} for line in lines]}
        baker.make("/v1/recipes", {"catalogue_id": made, "recipe": recipe})
    address = finished(baker, made, limits={"keep": ["molasses"]})
    dough, eggs = baker.get(f"{address}/items").json()["items"]
    assert [one["limit"] for one in dough["left_out"]] == ["keep.molasses"]
    assert dough["answer"]["outcome"] == dough["outcome"] == "reformulated"
    assert (eggs["outcome"], eggs["answer"]) == ("unreadable", None)
    assert [fault["pointer"] for fault in eggs["faults"]] == ["/recipe/lines"]


def test_the_same_run_sent_again_is_one_run(baker, catalogue):
    """Sent twice, with a key, with another key and without one: one run."""
    brief = {"catalogue_id": catalogue, "window": WINDOW, "measures": "metric"}
    answers = [
        baker.post("/v1/runs", json=brief, headers={"Idempotency-Key": key} if key else {})
        for key in ("a", "a", "b", None)
    ]
    assert len({answer.json()["id"] for answer in answers}) == 1
    assert answers[1].content == answers[0].content
    assert answers[1].headers["idempotent-replay"] == "true"


def test_a_run_is_cancelled(baker, catalogue):
    """It goes no further; one that is over stays as it is."""
    address = start(baker, catalogue, weights={"egg": 2}).headers["location"]
    run = baker.post(f"{address}/cancel").json()
    assert run["state"] in {"cancelled", "finished"}
    over = finished(baker, catalogue)
    assert baker.post(f"{over}/cancel").json()["state"] == "finished"


@pytest.mark.parametrize(
    ("members", "pointer"),
    [
        ({"catalogue_id": "cat_nobody"}, "/catalogue_id"),
        ({"window": None}, ""),
        ({"limits": {"kept": []}}, "/limits/kept"),
        ({"batch": {"pieces": 12}}, "/batch/pieces"),
        ({"recipe": {}}, "/recipe"),
    ],
)
def test_a_brief_that_no_recipe_could_answer_is_refused(baker, catalogue, members, pointer):
    """422 where the fault stands, before any recipe is touched."""
    brief = {"catalogue_id": catalogue, "window": WINDOW, **members}
    [fault] = problem_in(baker.post("/v1/runs", json=brief), 422)["errors"]
    assert fault["pointer"] == pointer


@pytest.mark.parametrize("query", ["outcome=perfect", "format=xml", "cursor=last", "limit=0"])
def test_items_that_there_cannot_be_are_refused(baker, catalogue, query):
    """An unknown outcome or form, a cursor or a limit out of bounds: 422."""
    address = start(baker, catalogue).headers["location"]
    problem_in(baker.get(f"{address}/items?{query}"), 422)


def test_another_caller_sees_nothing_of_a_run(baker, catalogue, keyed_service):
    """Whatever is asked about it, to anyone else it is not there."""
    address = start(baker, catalogue).headers["location"]
    stranger = Caller(keyed_service, f"stranger {uuid.uuid4()}")
    for path in ("", "/events", "/items", "/items?format=ndjson", "/items?format=csv"):
        problem_in(stranger.get(address + path), 404)
    problem_in(stranger.post(f"{address}/cancel"), 404)
    brief = {"catalogue_id": catalogue, "window": WINDOW}
    problem_in(stranger.post("/v1/runs", json=brief), 422)
    assert stranger.get("/v1/runs").json() == {"runs": []}


def test_runs_are_listed_by_catalogue(baker, catalogue):
    """Only those over the catalogue that is asked for; one that is not there is 404."""
    run = start(baker, catalogue).json()["id"]
    other = baker.make("/v1/catalogues", {"title": "Without runs"})["id"]
    listed = baker.get("/v1/runs", params={"catalogue_id": catalogue}).json()["runs"]
    assert [each["id"] for each in listed] == [run]
    assert baker.get("/v1/runs", params={"catalogue_id": other}).json()["runs"] == []
    problem_in(baker.get("/v1/runs", params={"catalogue_id": "nowhere"}), 404)


def test_a_name_that_no_recipe_has_is_refused(baker, catalogue):
    """A misspelt keep would protect nothing, and nobody could add what is unknown; a name that
    some recipe has is none of that."""
    limits = {
        "keep": ["all-purpose flour", "mollases"],
        "max_change_percent": {"rose water": 5},
    }
    brief = {"catalogue_id": catalogue, "window": WINDOW, "limits": limits}
    problem = problem_in(baker.post("/v1/runs", json=brief), 422)
    assert [error["pointer"] for error in problem["errors"]] == [
        "/limits/keep/1",
        "/limits/max_change_percent/rose water",
    ]
    assert baker.get("/v1/runs", params={"catalogue_id": catalogue}).json()["runs"] == []
    strange = {**brief, "limits": {"may_add": ["whole milk", "unobtainium"]}}
    problem = problem_in(baker.post("/v1/runs", json=strange), 422)
    assert [error["pointer"] for error in problem["errors"]] == ["/limits/may_add/1"]
    start(baker, catalogue, limits={"keep": ["all-purpose flour"]})


def moved_in(caller, address):
    """The recipes that a run moved, by identity, with their lines as proposed."""
    items = caller.pages(f"{address}/items?outcome=reformulated&limit=5", "items")
    return {item["recipe_id"]: item for item in items}


def grams_in(caller, recipe):
    """The grams of a stored recipe's lines."""
    weighed = caller.post("/v1/ratios", json={"recipe": recipe}).json()
    return [line["grams"] for line in weighed["lines"]]


STEEP = {"flour_to_fat": {"min": 2.6}}


def test_what_a_run_proposes_is_taken_over(baker, catalogue):
    """Each recipe that moved has a new version with the proposed grams; the version before stays;
    sending it again changes nothing; a run after that has nothing to do."""
    address = finished(baker, catalogue, window=STEEP)
    moved = moved_in(baker, address)
    assert moved
    applied = baker.post(f"{address}/apply", json={}).json()
    assert applied["counts"]["applied"] == len(moved)
    assert applied["unmoved"] == RECIPES - len(moved)
    for recipe_id, item in moved.items():
        kept = baker.get(f"/v1/recipes/{recipe_id}").json()
        proposed = [line["after"]["grams"] for line in item["answer"]["lines"]]
        assert grams_in(baker, kept["recipe"]) == pytest.approx(proposed)
        assert kept["version"] == 2
        assert baker.get(f"/v1/recipes/{recipe_id}?version=1").json()["recipe"] != kept["recipe"]
    again = baker.post(f"{address}/apply", json={}).json()
    assert again["counts"]["already_applied"] == len(moved)
    assert again["counts"]["applied"] == 0
    after = baker.get(finished(baker, catalogue, window=STEEP)).json()
    assert after["outcomes"]["reformulated"] == 0


def test_nothing_that_changed_since_is_overwritten(baker, catalogue, recipe):
    """A recipe that somebody changed or deleted after the run began is left alone, and named."""
    address = finished(baker, catalogue, window=STEEP)
    changed, gone, *others = moved_in(baker, address)
    baker.ask("PUT", f"/v1/recipes/{changed}", json={"recipe": recipe}, headers={"If-Match": "*"})
    baker.ask("DELETE", f"/v1/recipes/{gone}", headers={"If-Match": "*"})
    applied = baker.post(f"{address}/apply", json={}).json()
    fates = {one["recipe_id"]: (one["fate"], one["version"]) for one in applied["recipes"]}
    assert fates[changed] == ("changed_since", 2)
    assert fates[gone] == ("deleted", None)
    assert [one["recipe_id"] for one in applied["recipes"]][:2] == [changed, gone]
    assert {fates[other] for other in others} == {("applied", 2)}
    assert baker.get(f"/v1/recipes/{changed}").json()["recipe"]["lines"] == recipe["lines"]
    assert baker.get(f"/v1/recipes/{gone}").status_code == 404


def test_chosen_recipes_are_taken_over_alone(baker, catalogue, stranger):
    """Those named get new versions and no others; a name that is not the run's is refused before
    anything is written; a stranger sees no such run; a key gives the first answer again."""
    address = finished(baker, catalogue, window=STEEP)
    first, second, *_ = moved_in(baker, address)
    wrong = baker.post(f"{address}/apply", json={"recipes": [first, "rec_nobody"]})
    assert problem_in(wrong, 422)["errors"][0]["pointer"] == "/recipes/1"
    assert baker.get(f"/v1/recipes/{first}").json()["version"] == 1
    key = {"Idempotency-Key": "apply"}
    chosen = {"recipes": [first]}
    applied = baker.post(f"{address}/apply", json=chosen, headers=key)
    assert applied.json()["recipes"] == [{"recipe_id": first, "version": 2, "fate": "applied"}]
    replay = baker.post(f"{address}/apply", json=chosen, headers=key)
    assert (replay.json(), replay.headers["idempotent-replay"]) == (applied.json(), "true")
    assert baker.get(f"/v1/recipes/{second}").json()["version"] == 1
    assert stranger.post(f"{address}/apply", json={}).status_code == 404


def test_lines_that_were_pinned_or_set_aside_stay_so_when_taken_over(baker):
    """A line that the baker set aside by hand is none of the dough in the new version either."""
    made = baker.make("/v1/catalogues", {"title": "Pinned"})["id"]
    lines = [
        {"text": "300 g flour"},
        {"text": "100 g butter", "aside": True},
        {"text": "a bar of the good butter", "ingredient": "butter", "quantity": 150, "unit": "g"},
    ]
    stored = baker.make("/v1/recipes", {"catalogue_id": made, "recipe": {"lines": lines}})
    address = finished(baker, made, window={"flour_to_fat": {"min": 2.1}})
    assert baker.post(f"{address}/apply", json={}).json()["counts"]["applied"] == 1
    kept = baker.get(f"/v1/recipes/{stored['id']}").json()["recipe"]["lines"]
    assert kept[1] == lines[1]
    flour, _, butter = grams_in(baker, {"lines": kept})
    assert flour / butter >= 2.1


def test_runs_are_named_and_deleted(baker, catalogue, stranger):
    """A title is given against the revision; a run that is over goes with all that came of it, and
    the same brief is another run after that."""
    address = finished(baker, catalogue)
    shown = baker.get(address)
    assert (shown.headers["etag"], shown.json()["title"]) == ('"1"', None)
    title = {"title": "Spring window"}
    assert baker.ask("PUT", address, json=title).status_code == 428
    named = baker.ask("PUT", address, json=title, headers={"If-Match": '"1"'})
    assert (named.json()["title"], named.headers["etag"]) == ("Spring window", '"2"')
    assert baker.ask("DELETE", address, headers={"If-Match": '"1"'}).status_code == 412
    assert stranger.ask("DELETE", address, headers={"If-Match": "*"}).status_code == 404
    assert baker.ask("DELETE", address, headers={"If-Match": '"2"'}).status_code == 204
    for at in ("", "/items", "/events", "/report", "/recipes"):
        assert baker.get(f"{address}{at}").status_code == 404, at
    assert baker.pages("/v1/runs", "runs") == []
    assert finished(baker, catalogue) != address


def test_a_run_at_work_is_neither_deleted_nor_taken_over(tmp_path):
    """It has to end, or be cancelled, first; nobody works on runs here."""
    settings = Settings(database_url=f"sqlite:///{tmp_path}/idle.sqlite3", run_processes=0)
    with RunningApp(create_app(settings)) as running:
        baker = Caller(running, "baker")
        made = baker.make("/v1/catalogues", {"title": "Idle"})["id"]
        lines = [{"text": line} for line in lines_of(0)]
        baker.make("/v1/recipes", {"catalogue_id": made, "recipe": {"lines": lines}})
        address = start(baker, made).headers["location"]
        problem_in(baker.ask("DELETE", address, headers={"If-Match": "*"}), 409)
        problem_in(baker.post(f"{address}/apply", json={}), 409)
        baker.post(f"{address}/cancel")
        assert baker.post(f"{address}/apply", json={}).json()["counts"]["applied"] == 0
        assert baker.ask("DELETE", address, headers={"If-Match": "*"}).status_code == 204
