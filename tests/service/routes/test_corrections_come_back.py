"""An answer of /v1/readings sent on to every question that takes a recipe is read the same again,
as it came or with its lines pinned."""

import json

import pytest

PASTED = {
    "english": "Harbour Biscuits\nMakes 30\nIngredients\nFor the dough:\n5 cups (620g) flour\n"
    "1 cup butter or margarine, softened\n1 medium egg\n1 cup sugar\n1/4 pear, peeled\n"
    "a knob of butter\n1 yolk beaten with 1 tbsp water\nFor the icing:\n200 g icing sugar\n"
    "sugar, for dusting\nMethod\nMix 2 cups of it all.",
    "german": "Laternenkekse\nZutaten\n350 g Mehl\n1 Pck. Vanillezucker\n½ TL Natron\n"
    "1 Ei (Gr. L)\n100 g Zucker\n"
    "125 g weiche Butter oder Margarine\n20 g Rhabarber\nZubereitung\nAlles verkneten.",
    "french": "Sablés du phare\nIngrédients\n350 g de farine\n1/2 sachet de levure chimique\n"
    "125 g de beurre mou\n120 g de sucre\n1 pincée de sel\n1 œuf, 1 jaune d'œuf\n"
    "une poignée de raisins\nPréparation\nMélangez le tout.",
}
WINDOW = {"flour_to_fat": {"min": 0.5}}
SHEET = {"form": {"kind": "cylinder", "diameter_mm": 80, "wrap_degrees": 120}, "thickness_mm": 4}
QUESTIONS = {
    "/v1/ratios": lambda recipe: {"recipe": recipe},
    "/v1/reformulations": lambda recipe: {"recipe": recipe, "window": WINDOW},
    "/v1/batches": lambda recipe: {"briefs": [{"recipe": recipe, "window": WINDOW}]},
    "/v1/what-if": lambda recipe: {"recipe": recipe, "edits": [], "window": WINDOW},
    "/v1/ladders": lambda recipe: {"recipe": recipe, "target": SHEET},
    "/v1/sections": lambda recipe: {"states": [{"recipe": recipe, "target": SHEET}]},
    "/v1/bake-sheets": lambda recipe: {"recipe": recipe, "target": SHEET},
}


def reading_of(client, text):
    answer = client.post("/v1/readings", json={"text": text})
    return json.loads(answer.content)


def weights_of(client, recipe):
    answer = client.post("/v1/ratios", json={"recipe": recipe})
    assert answer.status_code == 200, answer.text
    lines = (x for x in answer.json()["lines"] if x["ingredient"] is not None)
    return [(x["ingredient"], x["role"], x["grams"]) for x in lines]


@pytest.mark.parametrize("text", PASTED.values(), ids=PASTED.keys())
def test_the_recipe_of_a_reading_is_read_the_same_again(client, text):
    """Each counted line weighs what it weighed, under the same name and role, in the same order."""
    reading = reading_of(client, text)
    counted = [x for x in reading["lines"] if x["aside"] is None]
    assert len(counted) > 5
    told = [(x["ingredient"], x["role"], x["grams"]) for x in counted]
    assert weights_of(client, reading["recipe"]) == told


@pytest.mark.parametrize("text", PASTED.values(), ids=PASTED.keys())
def test_lines_pinned_to_what_was_read_weigh_the_same(client, text):
    """Pinned to its ingredient and grams, or to being aside, a line keeps its words and means what
    it meant, a food beyond the pantry too; of a yolk in water the yolk weighs as both."""
    reading = reading_of(client, text)
    pinned = [
        {"text": x["text"], "aside": True}
        if x["aside"]
        else {"text": x["text"], "ingredient": x["ingredient"], "quantity": x["grams"], "unit": "g"}
        for x in reading["lines"]
    ]
    told = [(x["ingredient"], x["grams"]) for x in reading["lines"] if x["aside"] is None]
    weighed = weights_of(client, {"lines": pinned})
    assert [(name, pytest.approx(grams)) for name, _, grams in weighed] == told


@pytest.mark.parametrize("address", QUESTIONS)
@pytest.mark.parametrize("text", PASTED.values(), ids=PASTED.keys())
def test_every_question_takes_it(client, address, text):
    """The same recipe, by the answer of a reading or typed line by line, gets the same answer."""
    reading = reading_of(client, text)
    typed = {
        "title": reading["recipe"]["title"],
        "lines": [{"text": line} for line in text.split("\n")],
    }
    answers = [
        client.post(address, json=QUESTIONS[address](recipe))
        for recipe in (reading["recipe"], typed)
    ]
    assert [answer.status_code for answer in answers] == [200, 200], answers[0].text
    assert answers[0].text == answers[1].text
