"""Catalogues: made, renamed by who has seen them, deleted with care."""

import pytest

from tests.service.problem_checks import problem_in


@pytest.fixture
def panels(baker):
    """The address of a catalogue."""
    return f"/v1/catalogues/{baker.make('/v1/catalogues', {'title': 'Panels'})['id']}"


def test_a_catalogue_is_made_and_found(baker, panels):
    """It has a title and a revision, an address and an entity tag."""
    answer = baker.get(panels)
    assert (answer.json()["title"], answer.json()["revision"]) == ("Panels", 1)
    assert answer.headers["etag"] == '"1"'
    assert baker.get(panels, headers={"If-None-Match": '"1"'}).status_code == 304


@pytest.mark.parametrize("title", ["", "x" * 301, "a\0b", 7, None])
def test_a_title_that_cannot_be_is_refused(baker, title):
    """Empty, too long, unkeepable or no text: 422 at the title."""
    [fault] = problem_in(baker.post("/v1/catalogues", json={"title": title}), 422)["errors"]
    assert fault["pointer"] == "/title"


def test_a_catalogue_is_renamed_by_who_has_seen_it(baker, panels):
    """With the current tag the title changes and the tag with it; with an old one nothing does."""
    for title, tag, status in [("A", '"1"', 200), ("B", '"1"', 412), ("C", '"2"', 200)]:
        body, headers = {"title": title}, {"If-Match": tag}
        assert baker.ask("PUT", panels, json=body, headers=headers).status_code == status
    answer = baker.get(panels)
    assert (answer.json()["title"], answer.headers["etag"]) == ("C", '"3"')
    problem_in(baker.ask("PUT", panels, json={"title": "D"}), 428)


def test_an_empty_catalogue_is_deleted(baker, panels):
    """Once deleted it is 404 everywhere, and in no list."""
    problem_in(baker.ask("DELETE", panels), 428)
    problem_in(baker.ask("DELETE", panels, headers={"If-Match": '"2"'}), 412)
    assert baker.ask("DELETE", panels, headers={"If-Match": '"1"'}).status_code == 204
    problem_in(baker.get(panels), 404)
    problem_in(baker.get(f"/v1/recipes?catalogue={panels.rpartition('/')[2]}"), 404)
    problem_in(baker.ask("DELETE", panels, headers={"If-Match": '"1"'}), 404)
    assert baker.pages("/v1/catalogues", "catalogues") == []


def test_recipes_are_not_deleted_by_the_way(baker, panels, recipe):
    """A catalogue with recipes stays, until the request says to delete them with it; recipes
    elsewhere are not touched."""
    within = {"recipe": recipe, "catalogue_id": panels.rpartition("/")[2]}
    inside = baker.make("/v1/recipes", within)["id"]
    outside = baker.make("/v1/recipes", {"recipe": recipe})["id"]
    tag = {"If-Match": '"1"'}
    assert "recipes=delete" in problem_in(baker.ask("DELETE", panels, headers=tag), 409)["detail"]
    assert baker.get(f"/v1/recipes/{inside}").status_code == 200
    problem_in(baker.ask("DELETE", f"{panels}?recipes=keep", headers=tag), 422)
    assert baker.ask("DELETE", f"{panels}?recipes=delete", headers=tag).status_code == 204
    problem_in(baker.get(f"/v1/recipes/{inside}"), 404)
    assert baker.get(f"/v1/recipes/{outside}").status_code == 200


def test_a_list_of_one_catalogue_holds_its_recipes_alone(baker, panels, recipe):
    """Recipes of other catalogues, and of none, are not in it."""
    within = {"recipe": recipe, "catalogue_id": panels.rpartition("/")[2]}
    inside = [baker.make("/v1/recipes", within)["id"] for _ in range(3)]
    baker.make("/v1/recipes", {"recipe": recipe})
    address = f"/v1/recipes?catalogue={within['catalogue_id']}&limit=2"
    assert [entry["id"] for entry in baker.pages(address, "recipes")] == inside


def test_catalogues_come_in_pages(baker):
    """Page by page, in the order of their making."""
    made = [baker.make("/v1/catalogues", {"title": str(n)})["id"] for n in range(5)]
    listed = baker.pages("/v1/catalogues?limit=2", "catalogues")
    assert [catalogue["id"] for catalogue in listed] == made
