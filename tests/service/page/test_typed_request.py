"""What was typed, as a brief: units, numbers, and faults beside their fields."""

import pytest

from models.brief import Brief
from service.page.fields import Fields
from service.page.typed_request import TypedRequest
from service.page.understood import understand_lines

DOUGH = ("2 cups all-purpose flour\r\n1/2 cup unsalted butter",)


def asked(**typed):
    fields = {name.replace("__", "."): (value,) for name, value in typed.items()}
    typed_in = Fields({"lines": DOUGH, **fields})
    request = TypedRequest(typed_in, understand_lines(typed_in))
    return request.understood(Brief, **request.of_batch()), request.faults


@pytest.mark.parametrize(
    ("typed", "lengths", "millimetres"),
    [("4", "mm", 4), ("1/8", "in", 3.175), ("4 mm", "in", 4), ("3/16 in", "mm", 4.7625)],
)
def test_a_plain_length_takes_the_chosen_unit(typed, lengths, millimetres):
    """A number alone is in the unit chosen; one with its unit means that unit."""
    brief, faults = asked(thickness=typed, lengths=lengths)
    assert faults == []
    assert brief.target.thickness_mm == pytest.approx(millimetres)


def test_a_comma_is_a_point():
    """A ratio typed as 2,1 is 2.1."""
    brief, _ = asked(form="none", flour_to_fat__min="2,1")
    assert brief.window.flour_to_fat.min == 2.1


def test_limits_on_what_is_gone_are_dropped():
    """Keeping an ingredient that was since written out of the recipe keeps nothing."""
    brief, faults = asked(keep="honey", most__honey="5")
    assert faults == []
    assert brief.limits.keep == ()


@pytest.mark.parametrize(
    ("typed", "field"),
    [
        ({"thickness": "thin"}, "thickness"),
        ({"thickness": "30 mm"}, "thickness"),
        ({"cylinder__diameter_mm": "5"}, "cylinder.diameter_mm"),
        ({"cylinder__wrap_degrees": "half"}, "cylinder.wrap_degrees"),
        ({"flour_change": "150"}, "flour_change"),
        ({"pieces": "2.5"}, "pieces"),
        ({"moisture_percent__min": "-3"}, "moisture_percent.min"),
        ({"flour_to_fat__min": "3", "flour_to_fat__max": "2"}, "flour_to_fat.min"),
        ({"most__unsalted butter": "much"}, "most.unsalted butter"),
        ({"form": "none"}, "form"),
        ({"form": "pyramid"}, "form"),
        ({"title": "x" * 301}, "title"),
        ({"lines": "1 cup unsalted butter"}, "lines"),
        ({"lines": "   "}, "lines"),
    ],
)
def test_a_fault_stands_beside_its_field(typed, field):
    """Each thing that can be mistyped is said of the field it was typed in, and nothing else."""
    brief, faults = asked(**typed)
    assert brief is None
    assert [fault.field for fault in faults] == [field]
