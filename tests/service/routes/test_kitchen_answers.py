"""What a kitchen has learned flows on: every answer about a form may be asked of a kitchen."""

import pytest

from tests.service.problem_checks import problem_in

DRUM = {"kind": "cylinder", "diameter_mm": 80, "wrap_degrees": 150}
TARGET = {"form": DRUM, "thickness_mm": 4}
LINES = [
    "3 1/2 cups all-purpose flour",
    "1 cup (227 g) unsalted butter",
    "1 egg",
    "3/4 cup packed brown sugar",
    "1/3 cup molasses",
    "1 1/2 tsp baking soda",
]
GINGER = {"title": "Lantern ginger dough", "lines": [{"text": line} for line in LINES]}


def tray(grade, thickness_mm=4, **members):
    pieces = [{"crack_grade": grade}] * 4
    sheets = [{"thickness_mm": thickness_mm, "pieces": pieces}]
    return {"recipe": GINGER, "form": DRUM, "sheets": sheets, **members}


@pytest.fixture
def kitchen(baker):
    """A kitchen whose lantern dough broke on three trays."""
    name = baker.make("/v1/kitchens", {"name": "The stone oven"})["id"]
    for _ in range(3):
        baker.make(f"/v1/kitchens/{name}/trials", tray(4))
    return name


def answered(baker, address, body):
    answer = baker.post(address, json=body)
    assert answer.status_code == 200, answer.text
    return answer.json()


def test_a_kitchen_whose_trays_broke_has_a_higher_chance(baker, kitchen):
    """On the same question it answers with its own chance, an untried kitchen's beside it, and how
    many trays stand behind it; on what-if and sections alike."""
    asked = {"recipe": GINGER, "target": TARGET, "kitchen": kitchen}
    untried = {name: value for name, value in asked.items() if name != "kitchen"}
    plain = answered(baker, "/v1/what-if", {**untried, "edits": []})["form"]
    assert plain["kitchen"] is None
    here = answered(baker, "/v1/what-if", {**asked, "edits": []})["form"]
    learned = here["kitchen"]
    assert (learned["trials"], learned["pieces"], learned["rounds"]) == (3, 12, 0)
    assert learned["untried_percent"]["before"] == plain["chance_percent"]["before"]["value"]
    chance = here["chance_percent"]["before"]["value"]
    assert chance > plain["chance_percent"]["before"]["value"] + 5
    states = [{"recipe": GINGER, "target": TARGET}]
    section = answered(baker, "/v1/sections", {"states": states, "kitchen": kitchen})
    assert section["states"][0]["chance"]["chance_percent"]["value"] == chance
    assert section["kitchen"]["trials"] == 3


def test_a_reformulation_holds_its_limit_by_the_kitchens_own_chance(baker, kitchen):
    """What is proposed keeps the limit by what this kitchen has learned, which costs more than an
    untried kitchen's proposal; the answer was weighed again before it was given."""
    target = {**TARGET, "may_roll_to_mm": 2}
    keep = ["all-purpose flour", "unsalted butter", "egg", "brown sugar", "molasses"]
    asked = {"recipe": GINGER, "target": target, "limits": {"keep": keep}}
    plain = answered(baker, "/v1/reformulations", asked)
    here = answered(baker, "/v1/reformulations", {**asked, "kitchen": kitchen})
    assert here["form"]["chance_percent"]["after"]["value"] <= 20
    assert here["cost"]["total"] > plain["cost"]["total"]
    untried = here["form"]["kitchen"]["untried_percent"]
    assert untried["after"] < here["form"]["chance_percent"]["after"]["value"]


def test_a_template_tells_how_the_kitchen_fared_on_the_form(baker, kitchen):
    """By thickness: pieces, and how many of them cracked."""
    drawn = answered(baker, "/v1/templates", {"target": TARGET, "kitchen": kitchen})
    [baked] = drawn["kitchen"]["baked"]
    assert (baked["thickness_mm"], baked["pieces"], baked["cracked"]) == (4, 12, 12)


def test_another_callers_kitchen_does_not_exist(baker, stranger, kitchen):
    """Asked of it, a stranger is told in the words of a kitchen that never was; nobody learns from
    it that it is there."""
    asked = {"recipe": GINGER, "target": TARGET, "edits": []}
    theirs = stranger.post("/v1/what-if", json={**asked, "kitchen": kitchen})
    never = stranger.post("/v1/what-if", json={**asked, "kitchen": "nowhere"})
    assert problem_in(theirs, 422) == problem_in(never, 422)
    assert problem_in(never, 422)["errors"][0]["pointer"] == "/kitchen"


def test_a_kitchen_asks_for_its_key(keyed_service, kitchen):
    """The calculator is open to all, a kitchen to whoever has its key."""
    asked = {"recipe": GINGER, "target": TARGET, "edits": []}
    assert keyed_service.post("/v1/what-if", json=asked).status_code == 200
    problem_in(keyed_service.post("/v1/what-if", json={**asked, "kitchen": kitchen}), 401)


def test_what_was_corrected_is_learned_anew(baker, kitchen):
    """A correction changes the chance at once; a forgotten trial no longer counts."""
    asked = {"recipe": GINGER, "target": TARGET, "edits": [], "kitchen": kitchen}

    def chance():
        return answered(baker, "/v1/what-if", asked)["form"]["chance_percent"]["before"]["value"]

    before = chance()
    told = baker.pages(f"/v1/kitchens/{kitchen}/trials", "trials")
    any_state = {"If-Match": "*"}
    for one in told[:2]:
        address = f"/v1/kitchens/{kitchen}/trials/{one['id']}"
        assert baker.ask("PUT", address, json=tray(0), headers=any_state).status_code == 200
    corrected = chance()
    assert corrected < before
    address = f"/v1/kitchens/{kitchen}/trials/{told[2]['id']}"
    assert baker.ask("DELETE", address, headers=any_state).status_code == 204
    assert chance() < corrected


def test_a_run_keeps_what_its_kitchen_had_learned(baker, kitchen):
    """A run in a kitchen is another one than without; after a further tray the same brief is a new
    run, and the old one keeps what was known when it began."""
    catalogue = baker.make("/v1/catalogues", {"title": "Drums"})["id"]
    baker.make("/v1/recipes", {"recipe": GINGER, "catalogue_id": catalogue})
    brief = {"catalogue_id": catalogue, "target": {**TARGET, "may_roll_to_mm": 2}}

    def entered(**more):
        answer = baker.post("/v1/runs", json={**brief, **more})
        assert answer.status_code == 202, answer.text
        return answer.json()["id"]

    plain, here, again = entered(), entered(kitchen=kitchen), entered(kitchen=kitchen)
    assert plain != here == again
    baker.make(f"/v1/kitchens/{kitchen}/trials", tray(0, 3))
    assert entered(kitchen=kitchen) not in {plain, here}
    refused = baker.post("/v1/runs", json={**brief, "kitchen": "nowhere"})
    assert problem_in(refused, 422)["errors"][0]["pointer"] == "/kitchen"


def test_handling_moves_what_still_rolls(baker, recipe):
    """Where a drier dough was shaped well the bound moves out to it; where it could not be shaped,
    in to halfway before it. The answers were weighed again by a rule written apart."""
    name = baker.make("/v1/kitchens", {"name": "The dry board"})["id"]
    dry = {"lines": [{"text": "2 1/2 cups all-purpose flour"}, *recipe["lines"][1:]]}
    asked = {"recipe": recipe, "target": {**TARGET, "thickness_mm": 3}, "kitchen": name}
    least = []
    for handling in (None, 0, 3):
        if handling is not None:
            told = {"recipe": dry, "form": DRUM, "handling": handling}
            baker.make(f"/v1/kitchens/{name}/trials", told)
        window = answered(baker, "/v1/reformulations", asked)["window"]
        least.append(window["wet_per_flour"]["min"])
        for one in baker.pages(f"/v1/kitchens/{name}/trials", "trials"):
            address = f"/v1/kitchens/{name}/trials/{one['id']}"
            baker.ask("DELETE", address, headers={"If-Match": "*"})
    usual, shaped, refused = least
    assert shaped < usual < refused
