"""POST /v1/sections: a piece on its form, before and after, with its chance of a crack."""

from xml.etree import ElementTree

import pytest

from tests.service.problem_checks import problem_in

FORM = {"kind": "cylinder", "diameter_mm": "2 3/4 in", "wrap_degrees": 170}


@pytest.fixture
def states(lantern):
    """The lantern dough rolled 3/16 in, and rolled 1/8 in and chilled."""
    recipe = lantern["recipe"]
    return [
        {"recipe": recipe, "target": {"form": FORM, "thickness_mm": "3/16 in"}},
        {"recipe": recipe, "target": {"form": FORM, "thickness_mm": "1/8 in", "chilled": True}},
    ]


def faults(answer):
    return {f["pointer"]: f["message"] for f in problem_in(answer, 422)["errors"]}


def test_two_states_are_drawn_side_by_side(client, states):
    """Each has its chance, thinner is safer, and the drawing names both."""
    answer = client.post("/v1/sections", json={"states": states}).json()
    before, after = answer["states"]
    assert (before["label"], after["label"]) == ("Before", "After")
    assert after["chance"]["chance_percent"]["value"] < before["chance"]["chance_percent"]["value"]
    words = " ".join(ElementTree.fromstring(answer["svg"]).itertext())
    assert "Before" in words and "After" in words
    assert any("trial" in sentence for sentence in answer["limits_of_the_model"])


def test_the_drawing_alone_is_the_same_to_the_byte(client, states):
    """Who would rather have SVG gets the very drawing that stands in the JSON."""
    body = {"states": states, "stacked": True}
    alone = client.post("/v1/sections", json=body, headers={"Accept": "image/svg+xml"})
    assert alone.headers["content-type"] == "image/svg+xml"
    assert alone.content == client.post("/v1/sections", json=body).json()["svg"].encode()


def test_one_state_is_enough(client, states):
    """A single state is drawn as it is called."""
    state = {**states[0], "label": "Lantern panes & <gables>"}
    answer = client.post("/v1/sections", json={"states": [state]}).json()
    assert "Lantern panes & <gables>" in ElementTree.fromstring(answer["svg"]).itertext()


def test_two_forms_have_no_common_picture(client, states):
    """The second state must stand on the first one's form."""
    other = {**FORM, "wrap_degrees": 160}
    states[1] = {**states[1], "target": {"form": other, "thickness_mm": 3}}
    told = faults(client.post("/v1/sections", json={"states": states}))
    assert "first state" in told["/states/1/target/form"]


def test_a_dough_needs_flour(client, states):
    """Eggs alone roll into nothing."""
    eggs = {"lines": [{"ingredient": "egg", "quantity": 2, "unit": "each"}]}
    told = faults(client.post("/v1/sections", json={"states": [{**states[0], "recipe": eggs}]}))
    assert "flour" in told["/states/0/recipe/lines"]


def test_three_states_are_too_many(client, states):
    """A picture holds one or two."""
    assert "/states" in faults(client.post("/v1/sections", json={"states": [*states, states[0]]}))
    assert "/states" in faults(client.post("/v1/sections", json={"states": []}))
