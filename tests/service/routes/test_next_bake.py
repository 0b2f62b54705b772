"""The next bake of a kitchen over HTTP, and what its trays taught."""

import pytest

from tests.service.problem_checks import problem_in

DRUM = {"kind": "cylinder", "diameter_mm": 70, "wrap_degrees": 150}
LINES = [
    "3 1/2 cups all-purpose flour",
    "1 cup (227 g) unsalted butter",
    "1 egg",
    "3/4 cup packed brown sugar",
    "1/3 cup molasses",
    "1 1/2 tsp baking soda",
]
GINGER = {"title": "Lantern ginger dough", "lines": [{"text": line} for line in LINES]}
ASKED = {"recipe": GINGER, "target": {"form": DRUM, "thickness_mm": 5}}


def tray_of(step, grade, grew_mm=3.0):
    """The tray that a step asks for, with every piece of one grade."""
    thickest = step["sheets"][-1]["thickness_mm"]
    return {
        "recipe": step["recipe"],
        "form": DRUM,
        "chilled": step["chilled"],
        "sheets": [
            {
                "thickness_mm": sheet["thickness_mm"],
                "pieces": [{"crack_grade": grade}] * sheet["pieces"],
            }
            for sheet in step["sheets"]
        ],
        "flat_round": {"thickness_mm": thickest, "before_mm": 60, "after_mm": 60 + grew_mm},
    }


@pytest.fixture
def kitchen(baker):
    """The address of a kitchen in which one piece as written cracked."""
    address = f"/v1/kitchens/{baker.make('/v1/kitchens', {'name': 'The stone oven'})['id']}"
    sheet = {"thickness_mm": 5, "pieces": [{"crack_grade": 3}]}
    baker.make(f"{address}/trials", {"recipe": GINGER, "form": DRUM, "sheets": [sheet]})
    return address


def ask_next(baker, kitchen, **members):
    answer = baker.post(f"{kitchen}/next-bake", json={**ASKED, **members})
    assert answer.status_code == 200, answer.text
    return answer.json()


def test_a_kitchen_is_led_from_a_crack_to_a_recipe(baker, kitchen):
    """After a crack a tray of up to three thicknesses of one dough is asked for, thinner than
    planned or less leavened, with a round; where its pieces come out whole, a recipe that was
    itself on a good tray is ready to publish within three bakes, and one good piece is never said
    to prove anything."""
    step = ask_next(baker, kitchen)
    assert step["step"] == "bake"
    assert "One good piece proves little" in step["reason"]
    bakes = 0
    while step["step"] == "bake":
        thicknesses = [sheet["thickness_mm"] for sheet in step["sheets"]]
        assert thicknesses == sorted(set(thicknesses))
        assert len(thicknesses) <= 3
        assert sum(sheet["pieces"] for sheet in step["sheets"]) <= 4
        assert step["changes"]
        baker.make(f"{kitchen}/trials", tray_of(step, 0))
        bakes += 1
        assert bakes <= 3
        step = ask_next(baker, kitchen)
    assert step["step"] == "publish"
    assert len(step["sheets"]) == 1
    assert step["holds_percent"] > 50
    sheet = baker.post("/v1/bake-sheets", json={**ASKED, "variant": {"recipe": step["recipe"]}})
    assert sheet.status_code == 200, sheet.text


def test_where_all_breaks_it_says_not_with_this_dough(baker, kitchen):
    """Trays that fall apart however they are changed end in "not with this dough", with what would
    have to give, within eight bakes."""
    for _ in range(8):
        step = ask_next(baker, kitchen)
        if step["step"] != "bake":
            break
        baker.make(f"{kitchen}/trials", tray_of(step, 4, 9.0))
    assert step["step"] == "not_with_this_dough"
    assert step["would_have_to_give"]


def test_what_could_not_be_shaped_is_not_asked_for_again(baker, kitchen):
    """After a dough with a fifth more flour could not be shaped, no way takes as much."""
    floury = [LINES[0].replace("3 1/2", "4 1/5"), *LINES[1:]]
    told = {
        "recipe": {"lines": [{"text": line} for line in floury]},
        "form": DRUM,
        "handling": 3,
    }
    baker.make(f"{kitchen}/trials", told)
    step = ask_next(baker, kitchen)
    words = " ".join([step["words"], *(other["words"] for other in step["others"])])
    assert not any(f"{percent} % more flour" in words for percent in (20, 25, 30))


def test_the_preference_reaches_the_advice(baker, kitchen):
    """Set closer to the original, a tray is worth something else than set safer, which is what is
    meant where nothing is said."""
    said = ask_next(baker, kitchen)
    assert said == ask_next(baker, kitchen, preference="safer")
    assert said["worth"] != ask_next(baker, kitchen, preference="closer")["worth"]


def test_lessons_tell_each_tray(baker, kitchen):
    """Each tray has what was foretold before it was learned from, what came, and what is foretold
    since; a tray of broken pieces raises the chance of the same tray."""
    tray = tray_of(ask_next(baker, kitchen), 4)
    baker.make(f"{kitchen}/trials", tray)
    told = baker.get(f"{kitchen}/lessons").json()
    first, second = told["trials"]
    assert first["cracked_percent"] == second["cracked_percent"] == 100
    assert second["since_percent"] > second["foretold_percent"]
    assert "showed a crack" in second["words"]
    assert second["grew_mm"] == 3
    pieces = 1 + sum(len(sheet["pieces"]) for sheet in tray["sheets"])
    assert sum(within["pieces"] for within in told["calibration"]) == pieces
    assert told["svg"].startswith("<svg")


@pytest.mark.parametrize(
    ("members", "where"),
    [
        ({"preference": "bold"}, "/preference"),
        ({"target": None}, "/target"),
        ({"recipe": {"lines": [{"text": "1 cup sugar"}]}}, "/recipe/lines"),
        ({"recipe": {"lines": [{"text": "1 cup flour"}, {"text": "3 cups sugar"}]}}, "/recipe"),
    ],
)
def test_what_cannot_be_planned_is_refused(baker, kitchen, members, where):
    """Each fault stands where it is; of a dough beyond experience nothing is planned."""
    answer = baker.post(f"{kitchen}/next-bake", json={**ASKED, **members})
    assert problem_in(answer, 422)["errors"][0]["pointer"] == where


def test_an_empty_kitchen_is_told_what_to_bake_first(baker):
    """Before any tray the way of least loss is to be baked; nothing is ready to publish."""
    address = f"/v1/kitchens/{baker.make('/v1/kitchens', {'name': 'New'})['id']}"
    step = ask_next(baker, address)
    assert step["step"] == "bake"
    assert step["kitchen"]["trials"] == 0
    assert baker.get(f"{address}/lessons").json()["trials"] == []
