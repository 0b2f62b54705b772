"""The pantry: every ingredient found by any of its names, and each entry fit to reckon with.

What the figures themselves are worth is asked in `tests/published`.
"""

from collections import Counter
from fractions import Fraction
from typing import get_args

import pytest

from models.ingredient import Ingredient, Leavening, Role
from models.pantry import Pantry, fold, known_pantry

US_ALLERGENS = {"wheat", "milk", "eggs", "tree nuts", "peanuts", "soybeans", "sesame"}
EU_ALLERGENS = {
    "cereals containing gluten",
    "milk",
    "eggs",
    "nuts",
    "peanuts",
    "soybeans",
    "sesame seeds",
    "lupin",
}

# What a role allows, in percent: (water, fat, sugars). Common practice, no source.
EVERYDAY_COMPOSITION = {
    "flour": ((3, 20), (0, 61), (0, 11)),  # the fattest are ground nuts
    "fat": ((0, 37), (60, 100), (0, 1)),  # the leanest is a 60 % spread
    "sugar": ((0, 8), (0, 1), (84, 100)),  # the wettest are maple sugar and fondant
    "syrup": ((17, 33), (0, 8), (40, 83)),  # the fattest is boiled milk
    "egg": ((2, 88), (0, 60), (0, 1)),
    "liquid": ((27, 100), (0, 48), (0, 55)),  # condensed milk is driest, double cream fattest
    "leavener": ((0, 69), (0, 8), (0, 0)),  # the wettest is fresh yeast
    "acid": ((0, 95), (0, 1), (0, 3)),
    "cocoa": ((2, 4), (0, 22), (1, 50)),  # carob is sweet and lean
    "salt": ((0, 1), (0, 0), (0, 0)),
    "flavour": ((1, 99), (0, 95), (0, 40)),  # rose water, lecithin, vanilla paste
    "inclusion": ((0, 95), (0, 72), (0, 85)),  # from toffee to grated vegetables
}


def names_of(ingredient: Ingredient) -> tuple[str, ...]:
    return (ingredient.name, *ingredient.aliases)


def test_the_pantry_is_well_stocked() -> None:
    """At least 135 ingredients are known, of every role and every way of raising a dough."""
    known = list(known_pantry())
    assert len(known) >= 135
    assert {one.role for one in known} == set(get_args(Role))
    assert {one.leavening for one in known} - {None} == set(get_args(Leavening))


def test_no_name_means_two_things() -> None:
    """Every name and alias, as it is compared, belongs to one ingredient and stands there once."""
    count = Counter(fold(name) for one in known_pantry() for name in names_of(one))
    assert [name for name, times in count.items() if times > 1] == []


def test_every_name_finds_its_ingredient() -> None:
    """Each entry is found by its name and by each alias, in any case."""
    for one in known_pantry():
        for name in names_of(one):
            assert known_pantry().find(name) is one
            assert known_pantry().find(name.upper()) is one


def test_every_figure_has_a_source() -> None:
    """Each entry says where its composition and its density come from."""
    assert [
        i.name for i in known_pantry() if not i.composition_source or not i.density_source
    ] == []


def test_what_cannot_be_measured_by_volume_is_little_and_known() -> None:
    """Only three entries have no cup or teaspoon; all others have exactly one density."""
    assert {i.name for i in known_pantry() if i.cup_grams is None} == {
        "candied fruit",
        "dark chocolate",
        "gelatin",
    }


def test_small_amounts_are_based_on_the_teaspoon() -> None:
    """Leaveners, salt and flavours weigh by the teaspoon, every other role by the cup."""
    for one in known_pantry():
        by_teaspoon = one.role in {"leavener", "salt", "flavour"} or one.name == "cream of tartar"
        assert (one.grams_per_teaspoon is not None) == by_teaspoon, one.name


def test_densities_are_those_of_food() -> None:
    """A cup weighs between that of dried petals and that of syrup, 0.1 to 1.5 g/mL."""
    for one in known_pantry():
        if one.cup_grams is not None:
            assert 30 <= one.cup_grams <= 355, one.name


@pytest.mark.parametrize("one", list(known_pantry()), ids=lambda one: one.name)
def test_composition_fits_the_role(one: Ingredient) -> None:
    """Water, fat and sugars lie within what their role allows and leave room for the rest."""
    figures = (one.water_percent, one.fat_percent, one.sugars_percent)
    for figure, (least, most) in zip(figures, EVERYDAY_COMPOSITION[one.role], strict=True):
        assert least <= figure <= most
    assert sum(figures) <= 100


def test_leaveners_say_what_raises() -> None:
    """Every leavener names its leavening; outside the role only self-rising flour does."""
    for one in known_pantry():
        raises = one.role == "leavener" or one.name == "self-rising flour"
        assert (one.leavening is not None) == raises, one.name


def test_fats_and_acids_say_of_what_kind() -> None:
    """Every fat says what it is like in the cold, and nothing else does; every acid how strong."""
    for one in known_pantry():
        assert (one.fat_kind is not None) == (one.role == "fat"), one.name
        assert one.role != "acid" or one.acid_meq_per_gram is not None, one.name


def test_allergens_are_class_names() -> None:
    """Allergens are settled for every entry and named by class; conditions stand in the note."""
    for one in known_pantry():
        assert one.allergens_us is not None and set(one.allergens_us) <= US_ALLERGENS
        assert one.allergens_eu is not None and set(one.allergens_eu) <= EU_ALLERGENS


@pytest.mark.parametrize(
    ("name", "us", "eu"),
    [
        ("medium rye flour", (), ("cereals containing gluten",)),
        ("rolled oats", (), ("cereals containing gluten",)),
        ("spelt flour", ("wheat",), ("cereals containing gluten",)),
        ("almond flour", ("tree nuts",), ("nuts",)),
        ("sweetened flaked coconut", (), ()),
        ("ghee", ("milk",), ("milk",)),
        ("sesame seeds", ("sesame",), ("sesame seeds",)),
        ("soy milk", ("soybeans",), ("soybeans",)),
        ("dried egg white", ("eggs",), ("eggs",)),
    ],
)
def test_the_two_lists_of_allergens_differ_where_the_laws_do(
    name: str, us: tuple[str, ...], eu: tuple[str, ...]
) -> None:
    """Rye and oats count in the EU alone; coconut counts in neither since January 2025."""
    one = known_pantry().find(name)
    assert one is not None
    assert (one.allergens_us, one.allergens_eu) == (us, eu)


@pytest.mark.parametrize(
    ("name", "grams"), [("small", 38), ("medium", 44), ("", 50), ("extra large", 56), ("jumbo", 63)]
)
def test_an_egg_is_its_yolk_and_its_white(name: str, grams: int) -> None:
    """An egg of each size weighs what its yolk and white weigh together, shared 17 to 33."""
    egg = known_pantry().find(f"{name} egg".strip())
    assert egg is not None and egg.unit_name == "egg"
    assert egg.grams_per_unit == grams
    assert egg.yolk_grams is not None and egg.white_grams is not None
    assert egg.yolk_grams + egg.white_grams == pytest.approx(grams, rel=1e-12)
    assert egg.yolk_grams / egg.white_grams == pytest.approx(17 / 33, rel=1e-12)


@pytest.mark.parametrize(
    ("written", "meant"),
    [
        ("flour", "all-purpose flour"),
        ("Plain Flour", "all-purpose flour"),
        ("Butter", "unsalted butter"),
        ("sugar", "granulated sugar"),
        ("milk", "whole milk"),
        ("eggs", "egg"),
        ("large eggs", "egg"),
        ("confectioners’ sugar", "powdered sugar"),
        ("bicarb", "baking soda"),
        ("golden syrup", "golden syrup"),
        ("treacle", "black treacle"),
        ("light treacle", "golden syrup"),
        ("cornflour", "cornstarch"),
        ("soft brown sugar", "brown sugar"),
        ("self-raising flour", "self-rising flour"),
        ("cloves", "ground cloves"),
        ("shortening", "vegetable shortening"),
        ("cream", "heavy cream"),
        ("butter, unsalted", "unsalted butter"),
    ],
)
def test_english_names_of_both_shores_are_known(written: str, meant: str) -> None:
    """American and British names find the ingredient they mean."""
    assert found_name(written) == meant


@pytest.mark.parametrize(
    ("written", "meant"),
    [
        ("Weizenmehl", "all-purpose flour"),
        ("Roggenmehl", "medium rye flour"),
        ("Kartoffelmehl", "potato starch"),
        ("Zucker", "granulated sugar"),
        ("Puderzucker", "powdered sugar"),
        ("Hirschhornsalz", "baker's ammonia"),
        ("Pottasche", "potash"),
        ("Natron", "baking soda"),
        ("Backpulver", "baking powder"),
        ("Milch", "whole milk"),
        ("Eier", "egg"),
        ("Eiweiss", "egg white"),
        ("Butterschmalz", "ghee"),
        ("Gewuerznelken", None),
        ("farine de blé", "all-purpose flour"),
        ("FARINE DE SEIGLE", "medium rye flour"),
        ("beurre doux", "unsalted butter"),
        ("sucre glace", "powdered sugar"),
        ("sucre en poudre", "caster sugar"),
        ("mélasse", "molasses"),
        ("miel", "honey"),
        ("levure chimique", "baking powder"),
        ("bicarbonate de soude", "baking soda"),
        ("lait", "whole milk"),
        ("œufs", "egg"),
        ("oeufs", "egg"),
        ("jaunes d'œufs", "egg yolk"),
        ("huile d’olive", "olive oil"),
        ("cannelle", "ground cinnamon"),
    ],
)
def test_german_and_french_names_are_known(written: str, meant: str | None) -> None:
    """German and French names are found, accents or not; "ue" for "ü" is not guessed."""
    assert found_name(written) == meant


@pytest.mark.parametrize(
    "written",
    [
        "corn flour",
        "oatmeal",
        "glucose",
        "levure",
        "milk powder",
        "Piment",
        "lemon",
        "",
    ],
)
def test_what_may_mean_two_things_is_not_guessed(written: str) -> None:
    """A word that names different foods in different places is left to the caller."""
    assert known_pantry().find(written) is None


@pytest.mark.parametrize(
    ("written", "meant"),
    [
        ("buter", "unsalted butter"),
        ("all purpse flour", "all-purpose flour"),
        ("bakign soda", "baking soda"),
        ("Weizenmel", "all-purpose flour"),
        ("brown suger", "brown sugar"),
        ("cinamon", "ground cinnamon"),
        ("melasses", "molasses"),
    ],
)
def test_a_near_miss_is_named(written: str, meant: str) -> None:
    """A misspelt name is answered with the proper name first, and at most three in all."""
    near = known_pantry().nearest(written)
    assert near[0] == meant
    assert len(near) <= 3


def test_nothing_near_is_an_empty_answer() -> None:
    """A name unlike any other brings no suggestion."""
    assert known_pantry().nearest("qqqqqq") == ()


@pytest.mark.parametrize(
    ("written", "compared"),
    [
        ("Eggs", "egg"),
        ("crème de tartre", "creme de tartre"),
        ("Süßrahmbutter", "sussrahmbutter"),
        ("baker’s ammonia", "baker ammonia"),
        ("rye flour, light", "rye flour light"),
        ("  half-and-half ", "half and half"),
        ("molasses", "molasse"),
        ("couscous", "couscous"),
        ("anis", "anis"),
        ("gas", "gas"),
        ("glass", "glass"),
    ],
)
def test_names_are_compared_bare(written: str, compared: str) -> None:
    """Case, accents, punctuation, doubled blanks and a plural s do not count."""
    assert fold(written) == compared


VILLAGE_FLOUR = Ingredient(
    name="village flour", role="flour", water_percent=13, grams_per_cup=130, aliases=("flour",)
)


def test_a_callers_ingredient_stands_in_front() -> None:
    """A custom ingredient is found by its names before a known one; all others stay."""
    stocked = known_pantry().with_custom([VILLAGE_FLOUR])
    assert stocked.find("Village flours") is VILLAGE_FLOUR
    assert stocked.find("flour") is VILLAGE_FLOUR
    assert stocked.find("all-purpose flour") is known_pantry().find("flour")
    assert next(iter(stocked)) is VILLAGE_FLOUR
    assert len(list(stocked)) == len(list(known_pantry())) + 1
    assert stocked.nearest("vilage flour")[0] == "village flour"


def test_the_known_pantry_is_untouched_by_custom_ingredients() -> None:
    """Laying out a caller's ingredients leaves the shared pantry as it was."""
    known_pantry().with_custom([VILLAGE_FLOUR])
    assert known_pantry().find("village flour") is None
    assert known_pantry().with_custom([]) is known_pantry()


def test_a_proper_name_wins_over_an_alias() -> None:
    """In one layer an ingredient's own name beats another's alias, whichever comes first."""
    plain = Ingredient(name="flour", role="flour", water_percent=12)
    assert Pantry([VILLAGE_FLOUR, plain]).find("flour") is plain


def test_a_cup_is_forty_eight_teaspoons() -> None:
    """The cup of an ingredient measured by the teaspoon is exactly 48 of them."""
    soda = known_pantry().find("baking soda")
    assert soda is not None and soda.cup_grams == 48 * Fraction("4.6")


def found_name(written: str) -> str | None:
    found = known_pantry().find(written)
    return None if found is None else found.name
