"""Runs over HTTP: started, followed, cancelled, and read in every form."""

import csv
import io
import json
import time
import uuid

import pytest

from tests.service.conftest import Caller
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
    """A misspelt keep would protect nothing; one that some recipe has is none of that."""
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
    start(baker, catalogue, limits={"keep": ["all-purpose flour"]})
