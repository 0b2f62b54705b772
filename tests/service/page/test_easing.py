"""Limits as buttons: what they say, and what they change in the form."""

from fractions import Fraction

from models.limits import ChangeLimit, CrackLimit, NamedLimit, RatioLimit
from models.outcome import Conflict, WindowBound
from service.page.easing import eased, easing
from service.page.fields import Fields
from service.page.languages import say_in


def conflict(limit, relax_to):
    return Conflict(**NamedLimit.naming(limit), value=1, relax_to=relax_to, message="…")


WET = RatioLimit("wet_per_flour", "max", Fraction(1))
FAT = RatioLimit("flour_to_fat", "max", Fraction(1))
FLOUR = ChangeLimit("flour_change", None, (0,), Fraction(1))
CRACK = CrackLimit(Fraction(1), None, 0.25)


def kept(name):
    return ChangeLimit("keep", name, (0,), Fraction(0))


def test_a_ratio_of_the_form_is_stated_whole():
    """Easing one side of a window that a form implied states the other side as it was."""
    window = {"wet_per_flour": WindowBound(min=0.5, max=0.8, source="form")}
    button = easing(say_in("en"), [conflict(WET, 0.91)], window)
    fields = eased(Fields(), button.changes)
    assert fields.one("wet_per_flour.min") == "0.5"
    assert fields.one("wet_per_flour.max") == "0.91"


def test_a_kept_line_may_move_a_little():
    """Easing a kept line takes it off the kept ones and bounds its change; others stay kept."""
    button = easing(say_in("en"), [conflict(kept("salt & pepper=x"), 12.5)], {})
    fields = eased(Fields({"keep": ("egg", "salt & pepper=x")}), button.changes)
    assert fields.all("keep") == ("egg",)
    assert fields.one("most.salt & pepper=x") == "12.5"
    assert "12.5" in button.words


def test_several_limits_ease_together():
    """One button changes all the fields of a way out."""
    both = [conflict(FLOUR, 25), conflict(CRACK, 40)]
    fields = eased(Fields(), easing(say_in("en"), both, {}).changes)
    assert (fields.one("flour_change"), fields.one("crack_chance_percent.max")) == ("25.0", "40.0")


def test_what_cannot_be_eased_has_no_button():
    """A limit that no value would help is shown without a button."""
    assert easing(say_in("en"), [conflict(FAT, None)], {}) is None
