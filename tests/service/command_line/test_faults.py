"""Faults in words: where they stand and what to do."""

import pytest

from models.errors import Fault
from service.command_line.faults import problem_words
from service.command_line.recipe_files import RecipeFile
from service.problems import BUSY, MALFORMED_REQUEST
from service.reading.recipe_text import NumberedLine

FILE = RecipeFile("dough.txt", {}, (NumberedLine(3, "1 egg"),))


def test_a_problem_without_faults_is_its_title_and_detail():
    """What is wrong as a whole is said as a whole."""
    assert list(problem_words(BUSY.problem("Please try again."), None)) == [
        "The service is busy. Please try again."
    ]


@pytest.mark.parametrize(
    ("pointer", "place"),
    [
        ("/recipe/lines/0/text", "dough.txt, line 3: "),
        ("/recipe/lines/7/text", "recipe/lines/7/text: "),
        ("/limits/liquid_per_flour", "--limit liquid-per-flour: "),
        ("/limits/max_change_percent/brown~1dark sugar", "--max-change-percent: "),
        ("/recipe/custom_ingredients/0/name", "recipe/custom_ingredients/0/name: "),
        ("", ""),
    ],
)
def test_a_fault_stands_at_a_line_an_option_or_a_member(pointer, place):
    """A pointer into the request is shown as what was written or typed, where that is known."""
    fault = Fault(pointer=pointer, message="is wrong")
    words = list(problem_words(MALFORMED_REQUEST.problem("", (fault,)), FILE))
    assert words == ["1 thing to mend:", f"  {place}is wrong"]
