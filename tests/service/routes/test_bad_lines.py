"""Bad lines among good ones: clear words for the line, and no refusal of the rest."""

import pytest

from tests.service.problem_checks import problem_in

GOOD = ["300 g flour", "150 g butter", "100 g sugar"]
WINDOW = {"flour_to_fat": {"min": 1.5}}

UNREAD = {
    "a number beyond any kitchen": "1e308 g butter",
    "a power of ten": "3e5 g flour",
    "less than nothing": "-50 g sugar",
    "more than a million grams": "99999999 kg flour",
    "too many figures": "1234567890123456 g flour",
    "two numbers in a row": "250 300 g flour",
    "a broken fraction": "1/0 cup flour",
    "points and commas that do not agree": "1.2,3.4 g flour",
    "no food": "250 g",
    "a line of two thousand characters": "butter " * 285 + "12345",
}
COUNTED = {
    "nothing of it": ("0 g butter", 0, None),
    "two weights that contradict each other": ("1 cup (500 g) butter", 500, "disagreement"),
    "cups that contradict the weight": ("200 g (4 cups) sugar", 200, "disagreement"),
    "a control character": ("200 g\x07 sugar", 200, None),
    "marks that turn the writing": ("\u202e200 g sugar\u202c", 200, None),
    "a soft hyphen": ("200 g but\u00adter", 200, None),
    "figures as wide as a sign": ("２００ g sugar", 200, None),
}


def ratios_of(client, lines):
    answer = client.post("/v1/ratios", json={"recipe": {"lines": [{"text": x} for x in lines]}})
    assert answer.status_code == 200, answer.text
    return answer.json()


@pytest.mark.parametrize("bad", UNREAD.values(), ids=UNREAD.keys())
def test_a_bad_line_refuses_nothing_else(client, bad):
    """It is set aside with what to do; the rest is read, weighed and reformulated; each says so."""
    lines = [GOOD[0], bad, *GOOD[1:]]
    reading = client.post("/v1/readings", json={"text": "\n".join(lines)}).json()
    assert [x["aside"] is None for x in reading["lines"]] == [True, False, True, True]
    assert reading["lines"][1]["aside"]["code"] == "unread"
    assert len(reading["lines"][1]["aside"]["message"]) > 20
    weighed = ratios_of(client, lines)
    assert weighed["total_grams"] == 550
    assert [one["line"] for one in weighed["doubtful"]] == [2]
    recipe = {"lines": [{"text": x} for x in lines]}
    changed = client.post("/v1/reformulations", json={"recipe": recipe, "window": WINDOW})
    assert changed.status_code == 200, changed.text
    assert [one["line"] for one in changed.json()["doubtful"]] == [2]
    strict = client.post("/v1/ratios", json={"recipe": recipe, "reading": "strict"})
    assert [e["pointer"] for e in problem_in(strict, 422)["errors"]] == ["/recipe/lines/1/text"]


@pytest.mark.parametrize(("odd", "grams", "doubt"), COUNTED.values(), ids=COUNTED.keys())
def test_an_odd_line_is_counted(client, odd, grams, doubt):
    """The line's own weight wins; what cannot be seen changes nothing."""
    reading = client.post("/v1/readings", json={"text": "\n".join([*GOOD, odd])}).json()
    last = reading["lines"][-1]
    assert (last["grams"], last["uncertain"] and last["uncertain"]["code"]) == (grams, doubt)
    assert ratios_of(client, [*GOOD, odd])["total_grams"] == 550 + grams


@pytest.mark.parametrize("nothing", ["", " ", "\n\n \n"], ids=["empty", "a blank", "blank lines"])
def test_nothing_is_no_recipe(client, nothing):
    """A text without a word is refused or has no lines, and a recipe without lines is refused."""
    answer = client.post("/v1/readings", json={"text": nothing})
    if answer.status_code == 200:
        assert (answer.json()["recipe"], answer.json()["lines"]) == (None, [])
    else:
        problem_in(answer, 422)
    problem_in(client.post("/v1/ratios", json={"recipe": {"lines": []}}), 422)


def test_two_hundred_lines_are_read_and_one_more_refused(client):
    """Each of two hundred lines is answered; the two hundred and first is a fault that says so."""
    lines = [f"{n} g flour" for n in range(1, 201)]
    assert ratios_of(client, lines)["total_grams"] == 201 * 100
    too_many = {"recipe": {"lines": [{"text": x} for x in [*lines, "1 g salt"]]}}
    assert (
        "200" in problem_in(client.post("/v1/ratios", json=too_many), 422)["errors"][0]["message"]
    )
