"""The strengths of leaveners against molar masses, in grams of baking soda for one gram.

Gas counts by volume, so by moles: of carbon dioxide, and of ammonia where it is given off.
"""

import pytest
from molmass import Formula
from pydantic import TypeAdapter

from models.brief import PowderStrength
from models.pantry import known_pantry
from models.ratios import DEFAULT_POWDER_STRENGTH, SODA_STRENGTH


def molar_mass(formula: str) -> float:
    return Formula(formula).mass


def gas_moles(formula: str, moles_per_mole: int) -> float:
    """Return moles of gas from a gram of the solid `formula`."""
    return moles_per_mole / molar_mass(formula)


SODA_WITH_ACID = gas_moles("NaHCO3", 1)  # NaHCO3 + H+ -> Na+ + H2O + CO2
CO2_IN_SODA = SODA_WITH_ACID * molar_mass("CO2")


def may_be_told(powder_strength: float) -> bool:
    """Say whether a caller's brief may carry this strength; a refusal raises."""
    return TypeAdapter(PowderStrength).validate_python(powder_strength) == powder_strength


def test_soda_with_acid_gives_half_its_weight_in_gas() -> None:
    """A gram of soda with acid gives 0.524 g of carbon dioxide, and is the unit of strength."""
    assert pytest.approx(0.524, abs=0.0005) == CO2_IN_SODA
    assert SODA_STRENGTH["soda"] == 1


def test_ammonia_is_twice_as_strong_as_soda() -> None:
    """NH4HCO3 -> NH3 + H2O + CO2 gives 2.1 times soda's volume of gas, steam not counted."""
    strength = gas_moles("NH4HCO3", 2) / SODA_WITH_ACID
    assert float(SODA_STRENGTH["ammonia"]) == round(strength, 1)


def test_ammonia_leaves_nothing_behind() -> None:
    """Baker's ammonia goes off whole as ammonia, steam and carbon dioxide: it adds no water."""
    gone = sum(molar_mass(gas) for gas in ("NH3", "H2O", "CO2"))
    assert gone == pytest.approx(molar_mass("NH4HCO3"), rel=1e-9)
    ammonia = known_pantry().find("baker's ammonia")
    assert ammonia is not None and ammonia.water_percent == 0


def test_potash_is_three_fifths_as_strong_as_soda() -> None:
    """K2CO3 + 2 H+ -> 2 K+ + H2O + CO2 gives 0.61 times soda's gas."""
    strength = gas_moles("K2CO3", 1) / SODA_WITH_ACID
    assert float(SODA_STRENGTH["potash"]) == round(strength, 2)


def test_self_rising_flour_holds_a_hundredth_of_soda() -> None:
    """The legal least, 0.5 % carbon dioxide (21 CFR 137.180), is 0.0095 g of soda in a gram."""
    assert float(SODA_STRENGTH["self_rising"]) == round(0.005 / CO2_IN_SODA, 4)


def test_yeast_counts_as_no_soda() -> None:
    """Yeast raises by living, at a pace no weight of soda stands for."""
    assert SODA_STRENGTH["yeast"] == 0


@pytest.mark.parametrize(
    ("co2_percent", "powder_for_one_soda"),
    [
        (10, 5.24),  # Canada, Food and Drug Regulations B.03.002: the legal least
        (12, 4.37),  # the historic federal definition in the United States, from memory
        (14, 3.74),  # a usual make, from memory
        (16, 3.27),  # double-acting SAS powder by the minerals of USDA SR28, NDB 18369
    ],
)
def test_every_powder_on_sale_may_be_told(co2_percent: float, powder_for_one_soda: float) -> None:
    """A powder of any common gas content has a strength that a caller may give."""
    strength = co2_percent / 100 / CO2_IN_SODA
    assert 1 / strength == pytest.approx(powder_for_one_soda, abs=0.005)
    assert may_be_told(strength)


def test_the_usual_powder_strength_lies_among_the_powders() -> None:
    """The trade's one to four lies between a powder of 10 % and one of 16 % carbon dioxide."""
    assert 0.10 / CO2_IN_SODA <= DEFAULT_POWDER_STRENGTH <= 0.16 / CO2_IN_SODA


def test_soda_is_pure_by_its_sodium() -> None:
    """The sodium of baking soda in USDA SR28, NDB 18372, is that of pure NaHCO3."""
    sodium_percent = 27.36
    assert 100 * molar_mass("Na") / molar_mass("NaHCO3") == pytest.approx(sodium_percent, abs=0.01)


def test_a_powder_told_by_its_sodium_lies_within_bounds() -> None:
    """The sodium of phosphate powder in USDA SR28, NDB 18370, means 28.8 % soda."""
    soda_share = 0.07893 * molar_mass("NaHCO3") / molar_mass("Na")
    assert soda_share == pytest.approx(0.288, abs=0.0005)
    assert may_be_told(soda_share)


def test_tartrate_powder_is_a_balanced_mixture() -> None:
    """Single-acting powder is soda, the cream of tartar that spends it, and starch: 14 % gas.

    The mixture is reckoned from molar masses; that it is made to 14 % is from memory.
    """
    soda, tartar, starch = 26.7, 59.9, 13.4
    assert soda + tartar + starch == pytest.approx(100, abs=0.05)
    spent = tartar * molar_mass("NaHCO3") / molar_mass("KC4H5O6")  # one acid hydrogen
    assert spent == pytest.approx(soda, abs=0.05)
    assert soda * CO2_IN_SODA == pytest.approx(14, abs=0.05)


def test_tartrate_powder_is_as_moist_as_its_parts() -> None:
    """The water of single-acting powder is the water its three parts bring."""
    parts = {"baking soda": 26.7, "cream of tartar": 59.9, "cornstarch": 13.4}
    found = {name: known_pantry().find(name) for name in (*parts, "single-acting baking powder")}
    water = {name: one.water_percent for name, one in found.items() if one is not None}
    expected = sum(share * water[name] for name, share in parts.items()) / 100
    assert water["single-acting baking powder"] == pytest.approx(expected, abs=0.05)
