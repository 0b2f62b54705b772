"""GET /v1/ingredients: the table searched, and one ingredient at a time."""

import pytest

from models.pantry import known_pantry
from service.questions.ingredient_table import MOST_ENTRIES
from tests.service.problem_checks import problem_in


def names(answer):
    return [entry["name"] for entry in answer.json()["ingredients"]]


def test_an_ingredient_is_shown_whole(client):
    """Role, composition, weights, other names, allergens and sources of one ingredient."""
    entry = client.get("/v1/ingredients/unsalted%20butter").json()
    known = known_pantry().find("unsalted butter")
    assert entry["role"] == "fat"
    assert entry["composition"]["fat_percent"] == known.fat_percent
    assert entry["grams_per"]["cup"] == 16 * entry["grams_per"]["tbsp"]
    assert entry["grams_per"]["tsp"] == pytest.approx(entry["grams_per"]["cup"] / 48)
    assert entry["allergens"] == {"us": ["milk"], "eu": ["milk"], "maybe": []}
    assert entry["sources"]["composition"]


@pytest.mark.parametrize("name", ["butter", "BUTTER", "beurre", "Butter, unsalted"])
def test_an_ingredient_is_found_by_any_name(client, name):
    """Other names, other languages and other cases lead to the same ingredient."""
    assert client.get(f"/v1/ingredients/{name}").json()["name"] == "unsalted butter"


def test_an_unknown_ingredient_is_404_with_near_ones(client):
    """A name that is not known is answered with the nearest ones."""
    problem = problem_in(client.get("/v1/ingredients/moluses"), 404)
    assert problem["type"] == "/problems/unknown-ingredient"
    assert "molasses" in problem["detail"]


def test_a_search_finds_by_part_of_a_name_or_other_name(client):
    """A search looks inside names and other names; the one named in full comes first."""
    found = client.get("/v1/ingredients?query=flour&limit=500")
    assert names(found)[0] == "all-purpose flour"
    assert {"bread flour", "whole wheat flour"} <= set(names(found))
    assert "unsalted butter" in names(client.get("/v1/ingredients?query=beurre"))


def test_a_search_without_a_query_lists_everything(client):
    """Without a query the whole table can be had."""
    answer = client.get(f"/v1/ingredients?limit={MOST_ENTRIES}")
    assert answer.json()["total"] == len(names(answer)) == len(list(known_pantry()))


def test_a_limit_is_kept_and_the_rest_is_counted(client):
    """A limit shortens the list, not the count."""
    answer = client.get("/v1/ingredients?query=flour&limit=2")
    assert len(names(answer)) == 2
    assert answer.json()["total"] > 2


def test_a_search_in_vain_names_near_misses(client):
    """Where nothing holds the query, what it may have meant is answered."""
    found = client.get("/v1/ingredients?query=moluses").json()
    assert (found["ingredients"], found["total"]) == ([], 0)
    assert "molasses" in {entry["name"] for entry in found["near_misses"]}


def test_marks_alone_find_nothing(client):
    """A query without a letter or digit names no ingredient."""
    assert client.get("/v1/ingredients?query=%25%5B").json()["total"] == 0


@pytest.mark.parametrize(
    ("query", "pointer"),
    [
        ("limit=0", "/query/limit"),
        ("limit=501", "/query/limit"),
        ("limit=1.5", "/query/limit"),
        ("limit=" + "9" * 5000, "/query/limit"),
        ("limit=NaN", "/query/limit"),
        ("limit=", "/query/limit"),
        ("query=" + "x" * 201, "/query/query"),
        ("limit=1&limit=2", "/query/limit"),
        ("colour=brown", "/query/colour"),
        ("__proto__=1", "/query/__proto__"),
    ],
)
def test_a_malformed_query_is_a_fault_where_it_stands(client, query, pointer):
    """Numbers out of bounds, repeats and strangers in the address are 422."""
    [fault] = problem_in(client.get(f"/v1/ingredients?{query}"), 422)["errors"]
    assert fault["pointer"] == pointer


def test_a_name_too_long_is_a_fault(client):
    """A name in the address has at most 200 characters."""
    problem_in(client.get("/v1/ingredients/" + "x" * 201), 422)


@pytest.mark.parametrize("name", ["%00", "%ff%fe", "%2e%2e%2f", "'; DROP TABLE--", "%E2%80%AE"])
def test_a_hostile_name_is_merely_unknown(client, name):
    """NUL, broken bytes, paths, SQL and direction marks name no ingredient."""
    assert client.get(f"/v1/ingredients/{name}").status_code == 404
