"""Kitchens: added, renamed by whoever saw their name, and deleted with what was baked in them only
where that is meant."""

import pytest

from tests.service.problem_checks import problem_in


@pytest.fixture
def kitchen(baker):
    """The address of a kitchen."""
    return f"/v1/kitchens/{baker.make('/v1/kitchens', {'name': 'The stone oven'})['id']}"


def test_a_kitchen_is_added_and_found(baker, kitchen):
    """It has a name and an address, and is in the list."""
    assert baker.get(kitchen).json()["name"] == "The stone oven"
    [listed] = baker.pages("/v1/kitchens", "kitchens")
    assert f"/v1/kitchens/{listed['id']}" == kitchen


def test_kitchens_come_in_pages(baker, kitchen):
    """Page by page, the oldest first."""
    for name in ("B", "C"):
        baker.make("/v1/kitchens", {"name": name})
    names = [entry["name"] for entry in baker.pages("/v1/kitchens?limit=1", "kitchens")]
    assert names == ["The stone oven", "B", "C"]


def test_a_kitchen_is_renamed_by_whoever_saw_its_name(baker, kitchen):
    """If-Match with the tag of the name seen changes it once; the same tag again is 412."""
    seen = {"If-Match": baker.get(kitchen).headers["etag"]}
    renamed = baker.ask("PUT", kitchen, json={"name": "The deck oven"}, headers=seen)
    assert (renamed.status_code, renamed.json()["name"]) == (200, "The deck oven")
    late = baker.ask("PUT", kitchen, json={"name": "Mine"}, headers=seen)
    assert problem_in(late, 412)
    assert late.headers["etag"] == renamed.headers["etag"]


def test_a_kitchen_with_trials_goes_only_where_that_is_said(baker, kitchen, recipe):
    """With a trial in it a deletion is 409 and names the way; said so, both are gone."""
    form = {"kind": "flat_round", "diameter_mm": 80}
    sheet = {"thickness_mm": 4, "pieces": [{"crack_grade": 0}]}
    trial = baker.make(f"{kitchen}/trials", {"recipe": recipe, "form": form, "sheets": [sheet]})
    any_state = {"If-Match": "*"}
    refused = problem_in(baker.ask("DELETE", kitchen, headers=any_state), 409)
    assert "?trials=delete" in refused["detail"]
    gone = baker.ask("DELETE", f"{kitchen}?trials=delete", headers=any_state)
    assert gone.status_code == 204
    for address in (kitchen, f"{kitchen}/trials", f"{kitchen}/trials/{trial['id']}"):
        problem_in(baker.get(address), 404)
    assert baker.pages("/v1/kitchens", "kitchens") == []
