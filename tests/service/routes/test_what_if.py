"""POST /v1/what-if: edits judged, nothing optimised."""

from tests.service.problem_checks import problem_in


def test_edits_change_the_ratios_and_the_bounds_are_judged(client, lantern):
    """A tenth less butter raises flour to fat by a ninth; which bounds hold is said."""
    edits = [{"ingredient": "unsalted butter", "change_percent": -10}]
    judgement = client.post("/v1/what-if", json={**lantern, "edits": edits}).json()
    before, after = judgement["ratios"]["before"], judgement["ratios"]["after"]
    assert round(after["flour_to_fat"] / before["flour_to_fat"], 9) == round(1 / 0.9, 9)
    holds = {bound["limit"]: bound["holds"] for bound in judgement["bounds"]}
    assert holds["flour_to_fat.min"] is True
    assert holds["soda_equivalent_percent.max"] is False


def test_the_edited_recipe_can_be_sent_on(client, lantern):
    """The recipe in the answer is one that the service takes."""
    edits = [{"ingredient": "molasses", "grams": 100}]
    judgement = client.post("/v1/what-if", json={**lantern, "edits": edits}).json()
    weighed = client.post("/v1/ratios", json={"recipe": judgement["recipe"]}).json()
    assert weighed["ratios"] == judgement["ratios"]["after"]


def test_an_edit_of_nothing_is_a_fault(client, lantern):
    """An ingredient that is not there cannot be edited."""
    edits = [{"ingredient": "honey", "grams": 1}]
    answer = client.post("/v1/what-if", json={**lantern, "edits": edits})
    assert problem_in(answer, 422)["errors"][0]["pointer"] == "/edits/0/ingredient"
