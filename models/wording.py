"""Words: what ratios, limits and outcomes are called, in every answer, on the page and in a shell.

One table of each. How a number or a length is shown is the business of whoever shows it; what a
form is called stands in `models.form_words`.
"""

from collections.abc import Sequence
from fractions import Fraction
from typing import Literal, NamedTuple, assert_never

from models.limits import ChangeLimit, CrackLimit, Limit, NamedLimit, RatioLimit
from models.ratios import RatioName

OutcomeName = Literal["unchanged", "reformulated", "infeasible", "unfinished"]


class RatioWords(NamedTuple):
    """What a ratio is called, what follows its value, and what it is in a sentence."""

    name: str
    unit: str
    sentence: str

    @property
    def title(self) -> str:
        """The name where it stands by itself."""
        return self.name[0].upper() + self.name[1:]


RATIO_WORDS: dict[RatioName, RatioWords] = {
    "flour_to_fat": RatioWords("flour to fat", "", "grams of flour to a gram of fat"),
    "soda_equivalent_percent": RatioWords(
        "leavening as soda",
        " % of the flour",
        "grams to 100 g of flour; powder counts a quarter",
    ),
    "moisture_percent": RatioWords(
        "moisture", " % of the flour", "water to 100 g of flour, the flour's own not counted"
    ),
    "liquid_per_flour": RatioWords(
        "liquid to flour", "", "liquids, eggs and syrups to a gram of flour"
    ),
    "wet_per_flour": RatioWords(
        "liquid and fat to flour", "", "those and the fats to a gram of flour"
    ),
    "sugar_percent": RatioWords("sugars", " % of the flour", "all sugars to 100 g of flour"),
    "egg_percent": RatioWords("egg", " % of the flour", "egg to 100 g of flour"),
}


class OutcomeWords(NamedTuple):
    """What an outcome is called, and what is said before the recipe that it comes with."""

    headline: str
    sentence: str


OUTCOME_WORDS: dict[OutcomeName, OutcomeWords] = {
    "unchanged": OutcomeWords(
        "Nothing has to change",
        "The recipe already meets everything asked; nothing is changed.",
    ),
    "reformulated": OutcomeWords(
        "The smallest change that does it",
        "The smallest measurable change that meets everything asked:",
    ),
    "infeasible": OutcomeWords(
        "Not within these limits",
        "No measurable change meets everything asked. The recipe as it stands:",
    ),
    "unfinished": OutcomeWords(
        "The best found so far",
        "Time ran out before the smallest change was proved. The best found so far:",
    ),
}

_UNJUDGED = OutcomeWords(
    "No chance is known of such a dough",
    "No chance of a crack is known of such a dough, so only the ratios were judged, and nothing is "
    "changed. What the trade tries all the same stands in its ladder.",
)


def outcome_words(outcome: OutcomeName, outside_experience: Sequence[str] = ()) -> OutcomeWords:
    """Return the words of an outcome; of none on a form of which nothing is known."""
    if outcome == "unchanged" and outside_experience:
        return _UNJUDGED
    return OUTCOME_WORDS[outcome]


CostTerm = Literal["change", "moved_lines", "scoops", "left_out", "sheet"]

COST_WORDS: dict[CostTerm, str] = {
    "change": "change",
    "moved_lines": "moved lines",
    "scoops": "scoops",
    "left_out": "lines taken to nothing",
    "sheet": "a thinner or chilled sheet",
}


def limit_words(limit: Limit) -> str:
    """Return a limit with its value, as a baker says it: "flour to fat of at least 2.1"."""
    if isinstance(limit, ChangeLimit):
        return _change_words(limit)
    if isinstance(limit, CrackLimit):
        return f"a chance of cracking of at most {number(limit.percent)} %"
    words = RATIO_WORDS[limit.ratio]
    side = "at least" if limit.side == "min" else "at most"
    return f"{words.name} of {side} {number(limit.value)}{words.unit}"


def limit_name_words(limit: NamedLimit) -> str:
    """Return what a limit of an answer is on, without its value: "flour to fat (at least)"."""
    match limit.kind:
        case "crack_chance":
            return "the estimated chance of a crack"
        case "flour_change":
            return "how far the flour may move"
        case "change":
            return f"how far the {limit.subject} may move"
        case "keep":
            return f"the {limit.subject}, kept as it is"
        case "ratio" | "held_ratio":
            name = next(words.name for r, words in RATIO_WORDS.items() if r == limit.subject)
            return f"{name} (at {'least' if limit.side == 'min' else 'most'})"
        case _:
            assert_never(limit.kind)


def measured_words(limit: RatioLimit | CrackLimit, value: Fraction | None) -> str:
    """Return what a limit bounds with its unit, "undefined" with nothing to divide by."""
    if value is None:
        return "undefined"
    unit = " %" if isinstance(limit, CrackLimit) else RATIO_WORDS[limit.ratio].unit
    return f"{number(value)}{unit}"


def number(value: Fraction) -> str:
    """Return a number to four figures, without trailing zeros."""
    return f"{float(value):.4g}"


def _change_words(limit: ChangeLimit) -> str:
    match limit.kind:
        case "keep":
            return f"{limit.subject} kept as it is"
        case "change":
            return f"{limit.subject} changed by at most {number(limit.percent)} %"
        case "flour_change":
            return f"flour changed by at most {number(limit.percent)} %"
        case _:
            assert_never(limit.kind)
