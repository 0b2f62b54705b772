"""Stored recipes: kept as written, changed only by who has seen them, deleted without a trace."""

import json
from concurrent.futures import ThreadPoolExecutor

import pytest

from tests.service.problem_checks import problem_in

CROWD = 100


def other_title(recipe, title):
    return {**recipe, "title": title}


def test_a_stored_recipe_comes_back_as_it_was_written(baker, recipe):
    """What was sent is what is kept, with an address and an entity tag."""
    answer = baker.post("/v1/recipes", json={"recipe": recipe, "external_id": "card 7"})
    made = answer.json()
    assert answer.status_code == 201
    assert answer.headers["location"] == f"/v1/recipes/{made['id']}"
    assert answer.headers["etag"] == '"1"'
    kept = baker.get(answer.headers["location"])
    assert kept.content == answer.content
    assert kept.headers["etag"] == '"1"'
    assert made["recipe"] == recipe
    assert (made["version"], made["external_id"], made["catalogue_id"]) == (1, "card 7", None)
    assert (made["unread"], made["extras"]) == ([], {})
    assert made["created_at"].endswith("Z")


def test_every_fault_of_a_recipe_is_told_at_once(baker, recipe):
    """Unknown ingredients and unknown members are found together, where they stand."""
    sand = {"ingredient": "sand", "quantity": 1, "unit": "cup"}
    recipe["lines"] += [sand, {**sand, "unit": "bucket"}]
    answer = baker.post("/v1/recipes", json={"recipe": recipe, "colour": "red"})
    found = {fault["pointer"] for fault in problem_in(answer, 422)["errors"]}
    assert found == {"/recipe/lines/3/ingredient", "/recipe/lines/4/unit", "/colour"}


@pytest.mark.parametrize("member", ["external_id", "title"])
def test_what_no_database_can_hold_is_refused(baker, recipe, member):
    """A NUL is a fault of the request, not a failure of the service."""
    body = {"recipe": recipe, "external_id": "a\0b"}
    if member == "title":
        body = {"recipe": other_title(recipe, "a\0b")}
    [fault] = problem_in(baker.post("/v1/recipes", json=body), 422)["errors"]
    assert fault["pointer"].endswith(member)


def test_odd_characters_are_kept(baker, recipe):
    """Direction marks, a NUL inside and other planes come back to the character."""
    recipe["title"] = "Lichtlein \u202e \U0001f56f"
    recipe["lines"][0] = {"text": "2 cups flour, sifted \U0001f56f"}
    sand = {"name": "sand", "role": "inclusion", "water_percent": 0.1, "note": "a\0b"}
    recipe["custom_ingredients"] = [sand]
    made = baker.make("/v1/recipes", {"recipe": recipe})
    assert baker.get(f"/v1/recipes/{made['id']}").json()["recipe"] == recipe


def test_a_catalogue_that_is_not_there_is_a_fault_of_the_request(baker, stranger, recipe):
    """Neither a catalogue that never was nor a stranger's takes a recipe; both are told alike."""
    theirs = stranger.make("/v1/catalogues", {"title": "Theirs"})["id"]
    faults = [
        problem_in(baker.post("/v1/recipes", json={"recipe": recipe, "catalogue_id": name}), 422)
        for name in (theirs, "cat_nowhere")
    ]
    assert faults[0] == faults[1]
    assert faults[0]["errors"][0]["pointer"] == "/catalogue_id"


def test_an_external_id_is_used_once_in_a_catalogue(baker, recipe):
    """A second recipe of that id is 409; once the first is deleted, the id is free."""
    body = {
        "recipe": recipe,
        "catalogue_id": baker.make("/v1/catalogues", {"title": "Panels"})["id"],
        "external_id": "7",
    }
    made = baker.make("/v1/recipes", body)
    problem_in(baker.post("/v1/recipes", json=body), 409)
    gone = baker.ask("DELETE", f"/v1/recipes/{made['id']}", headers={"If-Match": '"1"'})
    assert gone.status_code == 204
    assert baker.make("/v1/recipes", body)["id"] != made["id"]


def test_a_change_is_a_new_version_and_the_old_one_stays(baker, recipe):
    """After a PUT the newest version is the new one; the first is as it was, to the byte."""
    made = baker.post("/v1/recipes", json={"recipe": recipe})
    address = made.headers["location"]
    newer = other_title(recipe, "Reed panels, thinner")
    answer = baker.ask("PUT", address, json={"recipe": newer}, headers={"If-Match": '"1"'})
    assert answer.status_code == 200
    assert answer.headers["etag"] == '"2"'
    assert (answer.json()["version"], answer.json()["recipe"]) == (2, newer)
    assert baker.get(address).content == answer.content
    assert baker.get(f"{address}?version=1").content == made.content
    listed = baker.get(f"{address}/versions").json()["versions"]
    assert [(v["version"], v["title"]) for v in listed] == [
        (1, recipe["title"]),
        (2, newer["title"]),
    ]
    problem_in(baker.get(f"{address}?version=3"), 404)


@pytest.mark.parametrize("method", ["PUT", "DELETE"])
def test_a_change_says_what_it_changes(baker, recipe, method):
    """Without If-Match a change is 428, of another version 412 with the current one, of what is no
    entity tag 422; and nothing has changed."""
    address = f"/v1/recipes/{baker.make('/v1/recipes', {'recipe': recipe})['id']}"
    body = {"json": {"recipe": recipe}} if method == "PUT" else {}
    problem_in(baker.ask(method, address, **body), 428)
    for stale in ('"2"', 'W/"1"', '"01"', '"one", "2"'):
        answer = baker.ask(method, address, headers={"If-Match": stale}, **body)
        problem_in(answer, 412)
        assert answer.headers["etag"] == '"1"'
    for nonsense in ("1", '"1', '"1" "2"', "*, *"):
        answer = baker.ask(method, address, headers={"If-Match": nonsense}, **body)
        assert problem_in(answer, 422)["errors"][0]["pointer"] == "/header/If-Match"
    assert baker.get(address).json()["version"] == 1


@pytest.mark.parametrize("tags", ["*", '"7", "1"', 'W/"1", "1"'])
def test_any_or_one_of_several_versions_will_do(baker, recipe, tags):
    """If-Match takes a star, and a list that has the current version."""
    address = f"/v1/recipes/{baker.make('/v1/recipes', {'recipe': recipe})['id']}"
    answer = baker.ask("PUT", address, json={"recipe": recipe}, headers={"If-Match": tags})
    assert answer.json()["version"] == 2


def test_what_the_caller_has_is_not_sent_again(baker, recipe):
    """If-None-Match with the current tag is 304, with another the recipe."""
    address = f"/v1/recipes/{baker.make('/v1/recipes', {'recipe': recipe})['id']}"
    spared = baker.get(address, headers={"If-None-Match": 'W/"1"'})
    assert (spared.status_code, spared.content, spared.headers["etag"]) == (304, b"", '"1"')
    assert baker.get(address, headers={"If-None-Match": '"2"'}).status_code == 200


def test_a_deleted_recipe_is_gone_for_good(baker, recipe):
    """Every address of a deleted recipe is 404, and no list has it."""
    address = f"/v1/recipes/{baker.make('/v1/recipes', {'recipe': recipe})['id']}"
    kept = baker.make("/v1/recipes", {"recipe": recipe})["id"]
    assert baker.ask("DELETE", address, headers={"If-Match": "*"}).status_code == 204
    for gone in (address, f"{address}?version=1", f"{address}/versions"):
        problem_in(baker.get(gone), 404)
    problem_in(baker.ask("DELETE", address, headers={"If-Match": '"1"'}), 404)
    changed = baker.ask("PUT", address, json={"recipe": recipe}, headers={"If-Match": '"1"'})
    problem_in(changed, 404)
    assert [entry["id"] for entry in baker.pages("/v1/recipes", "recipes")] == [kept]


def test_of_a_crowd_of_writers_one_wins(baker, recipe):
    """A hundred who saw the same version change it at once: one does, the others are 412."""
    address = f"/v1/recipes/{baker.make('/v1/recipes', {'recipe': recipe})['id']}"

    def write(number):
        body = {"recipe": other_title(recipe, f"Panel {number}")}
        return baker.ask("PUT", address, json=body, headers={"If-Match": '"1"'})

    with ThreadPoolExecutor(CROWD) as crowd:
        answers = list(crowd.map(write, range(CROWD)))
    assert sorted(answer.status_code for answer in answers) == [200] + [412] * (CROWD - 1)
    [winner] = [answer for answer in answers if answer.status_code == 200]
    assert baker.get(address).content == winner.content
    assert len(baker.get(f"{address}/versions").json()["versions"]) == 2


def test_pages_hold_every_recipe_once(baker, recipe):
    """Page by page, in the order of making, whatever the size of a page."""
    made = [
        baker.make("/v1/recipes", {"recipe": other_title(recipe, str(n))})["id"] for n in range(7)
    ]
    for limit in (1, 2, 3, 6, 7, 8):
        entries = baker.pages(f"/v1/recipes?limit={limit}", "recipes")
        assert [entry["id"] for entry in entries] == made
    assert [entry["title"] for entry in entries] == [str(n) for n in range(7)]


def test_pages_hold_every_recipe_once_while_others_are_added(baker, recipe):
    """What was there when a list began comes exactly once, and nothing comes twice."""
    catalogue = baker.make("/v1/catalogues", {"title": "Panels"})["id"]
    body = {"recipe": recipe, "catalogue_id": catalogue}
    before = [baker.make("/v1/recipes", body)["id"] for _ in range(12)]
    with ThreadPoolExecutor(5) as crowd:
        adding = [crowd.submit(baker.make, "/v1/recipes", body) for _ in range(40)]
        walks = [
            [entry["id"] for entry in baker.pages(address, "recipes")]
            for address in [f"/v1/recipes?catalogue={catalogue}&limit=3", "/v1/recipes?limit=2"]
        ]
        added = {future.result()["id"] for future in adding}
    for walk in walks:
        assert walk[: len(before)] == before
        assert len(set(walk)) == len(walk)
        assert set(walk) <= {*before, *added}


def test_versions_come_in_pages_too(baker, recipe):
    """A recipe with many versions lists them all, the first one first."""
    address = f"/v1/recipes/{baker.make('/v1/recipes', {'recipe': recipe})['id']}"
    for version in range(1, 5):
        tag = {"If-Match": f'"{version}"'}
        baker.ask("PUT", address, json={"recipe": recipe}, headers=tag)
    listed = baker.pages(f"{address}/versions?limit=2", "versions")
    assert [version["version"] for version in listed] == [1, 2, 3, 4, 5]


@pytest.mark.parametrize(
    "query",
    ["limit=0", "limit=501", "limit=x", "cursor=%00", "cursor=a'b", "cursors=a", "limit=1&limit=2"],
)
def test_a_page_that_cannot_be_is_refused(baker, query):
    """A wrong limit, a cursor nobody gave, strangers and repeats are 422."""
    problem_in(baker.get(f"/v1/recipes?{query}"), 422)


@pytest.mark.parametrize("name", ["nothing", "%00", "a'b", "a" * 33, "%F0%9F%95%AF"])
def test_a_name_that_names_nothing_is_404(baker, name):
    """Whatever stands in the address, there is nothing of that name."""
    problem_in(baker.get(f"/v1/recipes/{name}"), 404)
    problem_in(baker.get(f"/v1/recipes?catalogue={name}"), 404 if len(name) <= 32 else 422)


def test_the_newest_version_is_what_lists_show(baker, recipe):
    """A list has one entry a recipe, with the newest title."""
    address = f"/v1/recipes/{baker.make('/v1/recipes', {'recipe': recipe})['id']}"
    newer = {"recipe": other_title(recipe, "Newer")}
    baker.ask("PUT", address, json=newer, headers={"If-Match": '"1"'})
    [entry] = baker.get("/v1/recipes").json()["recipes"]
    assert (entry["title"], entry["version"]) == ("Newer", 2)
    assert entry["changed_at"] > entry["created_at"]
    assert "recipe" not in json.dumps(list(entry))


def test_a_recipe_is_found_by_what_it_is_called(baker):
    """By the name that it has elsewhere, by its title, within its catalogue; by no other."""
    catalogue = baker.make("/v1/catalogues", {"title": "Lookups"})["id"]
    for name in ("one", "two"):
        recipe = {"title": f"Dough & {name}", "lines": [{"text": "1 cup flour"}]}
        baker.make(
            "/v1/recipes", {"catalogue_id": catalogue, "external_id": name, "recipe": recipe}
        )

    def found(**asked):
        answer = baker.get("/v1/recipes", params={"catalogue_id": catalogue, **asked})
        return [recipe["external_id"] for recipe in answer.json()["recipes"]]

    assert found() == ["one", "two"]
    assert found(external_id="two") == ["two"]
    assert found(title="Dough & one") == ["one"]
    assert found(title="Dough & one", external_id="two") == []
    assert found(external_id="three") == []
