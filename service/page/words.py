"""Words of the page: what its fields and lengths are called; ratios and limits are named in
`models.wording`."""

import html
import re
from fractions import Fraction

from models.chance import CrackChance, chance_figure, chance_words, range_figure
from models.dimension import read_length_mm
from models.form import AnyForm
from models.form_words import NAMES
from models.outcome import Conflict, RolledSheet
from models.wording import RATIO_WORDS
from service.drawings.lettering import NO_BREAK
from service.drawings.tens import draw_tens
from service.page.languages import Say
from service.page.pins import SHARES
from service.page.ways import Change, Way

MEASURES = {
    "as_written": "As written",
    "us": "Cups and spoons",
    "metric": "Millilitre spoons and grams",
    "scale": "Scale",
}
LEANS = {
    "closer": "Closer to my recipe",
    "balanced": "Balanced",
    "safer": "Safer",
}
LENGTHS = {"mm": "Millimetres", "in": "Inches"}

WAYS = {
    "as_it_is": "As it is",
    "thinner": "Thinner",
    "chilled": "Chilled",
    "less_leavening": "Less leavening",
    "little_flour": "A little flour",
    "together": "Together",
}
MOVED = "moved by hand, at %(thickness)s"
SAYS = {
    "as_it_is": "as it is, at %(thickness)s",
    "thinner": "roll it to %(thickness)s",
    "chilled": "chilled before it bakes, at %(thickness)s",
    "less_leavening": "with less leavening, at %(thickness)s",
    "little_flour": "with a little more flour, at %(thickness)s",
    "together": "with a little of each, at %(thickness)s",
}
SHORT_FORMS = {
    "flat_round": "Round",
    "flat_panel": "Panel",
    "cylinder": "Roll",
    "cone": "Cone",
    "dome": "Dome",
    "wave": "Wave",
    "leaning_panel": "Leaning",
}

MEMBERS = {
    "diameter": "Diameter",
    "wrap": "Wrap",
    "length": "Length",
    "base_diameter": "Diameter below",
    "top_diameter": "Diameter above",
    "height": "Height",
    "width": "Width",
    "cap": "Top to rim",
    "crest_radius": "Crest radius",
    "slope": "Slope",
    "crests": "Crests",
    "lean": "Lean",
}

_UNIT = re.compile(r"_(mm|degrees)$")


def form_name(say: Say, form: AnyForm) -> str:
    """Return what a form is called within a sentence."""
    name, short = NAMES[form.kind].lower(), say(SHORT_FORMS[form.kind])
    return name if short == SHORT_FORMS[form.kind] else short


def named(say: Say, form: AnyForm) -> dict[str, str]:
    """Return the name and the dimensions of a form, as messages place them."""
    return {"form": form_name(say, form), "dimensions": dimensions(say, form)}


def dimensions(say: Say, form: AnyForm) -> str:
    """Return what tells a form from others of its kind: "diameter 80 mm, wrap 150°"."""
    told = []
    for member, value in form.model_dump(exclude={"kind"}).items():
        name = say(member_name(member))
        name = first_lower(name) if name == member_name(member) else name
        unit = f"{NO_BREAK}mm" if member.endswith("_mm") else "°" * member.endswith("_degrees")
        told.append(f"{name} {value:.4g}{unit}")
    return ", ".join(told)


def member_name(member: str) -> str:
    """Return what a dimension is called on the page."""
    return MEMBERS[_UNIT.sub("", member)]


def is_share(ratio: str) -> bool:
    """Tell whether a ratio is a percentage of the flour."""
    return ratio.endswith("_percent")


def number(value: float | None) -> str:
    """Return a number to three figures as people read it, a dash for none."""
    if value is None:
        return "–"
    if abs(value) < 1:
        short = f"{value:.2f}".rstrip("0").rstrip(".")
        return "0" if short in {"-0", "0"} else short
    return f"{value:.3g}" if abs(value) < 1000 else f"{value:.0f}"


def ratio_number(ratio: str, value: float | None) -> str:
    """Return a ratio's value with its unit."""
    return f"{number(value)}{NO_BREAK}%" if is_share(ratio) and value is not None else number(value)


def grams(value: float) -> str:
    """Return grams as a kitchen scale shows them: tenths below 20."""
    return f"{value:.0f}{NO_BREAK}g" if value >= 20 else f"{value:.1f}{NO_BREAK}g"


def length(value_mm: float, lengths: str) -> str:
    """Return a length in the unit that was chosen; inches to the nearest thirty-second."""
    if lengths != "in":
        return f"{value_mm:.3g}{NO_BREAK}mm"
    return f"{_inches(value_mm)}{NO_BREAK}in ({value_mm:.3g}{NO_BREAK}mm)"


def both_lengths(typed: str) -> tuple[str, str] | None:
    """Return a length that was typed with its unit in both units; None for any other."""
    try:
        value_mm = read_length_mm(typed)
    except ValueError:
        return None
    assert isinstance(value_mm, float)
    if not 1 <= value_mm <= 10_000:
        return None
    return f"{value_mm:.4g} mm", f"{_inches(value_mm)} in"


def _inches(value_mm: float) -> str:
    """Return a length as an inch ruler reads it, to the nearest thirty-second."""
    whole, part = divmod(Fraction(round(value_mm / 25.4 * 32), 32), 1)
    return " ".join(str(each) for each in (whole, part) if each) or "0"


def range_words(say: Say, ratio: str, least: float | None, most: float | None) -> str:
    """Return a window in words, nothing for none."""
    if least is None and most is None:
        return ""
    if most is None:
        return say("at least %(least)s", least=ratio_number(ratio, least))
    if least is None:
        return say("at most %(most)s", most=ratio_number(ratio, most))
    return say("%(least)s to %(most)s", least=number(least), most=ratio_number(ratio, most))


def within_words(say: Say, value: float | None, least: float | None, most: float | None) -> str:
    """Return on which side of its window a value lies."""
    if value is None:
        return say("undefined")
    if least is not None and value < least:
        return say("below it")
    if most is not None and value > most:
        return say("above it")
    return say("inside")


def in_ten(percent: float) -> str:
    """Return a chance as people say it, of pieces: "about 2 in 10"."""
    return chance_words(percent)


def tenths(say: Say, percent: float) -> str:
    """Return a chance in tenths alone, where the same is said in full beside it."""
    told = chance_words(percent)
    short = told.removeprefix("about ").removesuffix(" in 10")
    return short if short.isdigit() else say(told)


def kitchens(say: Say, chance: CrackChance, known: bool = False) -> str:
    """Return the range that holds four kitchens in five: "hardly any to 4 in 10, by kitchen"; of
    one that is `known`, how far its own trays leave it open."""
    low, high = round(chance.low_percent / 10), round(chance.high_percent / 10)
    if low == high:
        return say("known well here") if known else say("much the same in every kitchen")
    least = say("hardly any") if low == 0 else str(low)
    most = say("almost all") if high == 10 else say("%(count)s in 10", count=str(high))
    if known:
        return say("%(least)s to %(most)s, in this kitchen", least=least, most=most)
    return say("%(least)s to %(most)s, by kitchen", least=least, most=most)


def as_told(value: float) -> float:
    """Return an estimate as the interface tells it, so that both round to the same words."""
    return float(f"{value:.3g}")


def figure(say: Say, percent: float) -> str:
    """Return a chance as a figure that claims no certainty."""
    return figure_words(say, chance_figure(as_told(percent)))


def figures(say: Say, chance: CrackChance) -> str:
    """Return the ends of a chance's range as figures."""
    return figure_words(
        say, range_figure(as_told(chance.low_percent), as_told(chance.high_percent))
    )


_FIGURES = (
    (re.compile(r"under (\d+) %"), "under %(most)s %%"),
    (re.compile(r"over (\d+) %"), "over %(most)s %%"),
    (re.compile(r"(\d+) to (\d+) %"), "%(least)s to %(most)s %%"),
)


def figure_words(say: Say, figure: str) -> str:
    """Return a figure, as the model or a drawing tells it, in the page's language."""
    figure = figure.replace(NO_BREAK, " ")
    for shape, message in _FIGURES:
        found = shape.fullmatch(figure)
        if found:
            figure = say(message, least=found[1], most=found[found.lastindex or 1])
    return figure.replace(" %", f"{NO_BREAK}%")


def holds(percent: float, most: float) -> str:
    """Return the ink in which a chance is written: within the limit, or beyond it."""
    return "good" if percent <= most else "bad"


def over(say: Say, chance: CrackChance, most: float) -> str:
    """Return how a chance stands to a limit that it is over."""
    told = limit(say, most)
    if say(in_ten(chance.percent)) == say(in_ten(most)):
        return say("Just over your limit of %(limit)s.", limit=told)
    return say("Over your limit of %(limit)s.", limit=told)


def limit(say: Say, percent: float) -> str:
    """Return a limit on the chance as people say it: in tenths where it is, else of a hundred."""
    if percent % 10 == 0:
        return say("%(count)s in 10", count=f"{percent / 10:.0f}")
    return say("%(count)s in 100", count=f"{percent:.3g}")


def tens(say: Say, chance: CrackChance, most: float, known: bool = False) -> str:
    """Return ten little pieces of which so many crack, as markup."""
    told = f"{say(in_ten(chance.percent))} {say('crack')}; {kitchens(say, chance, known)}"
    return draw_tens(chance.percent, chance.low_percent, chance.high_percent, most, told)


def doings(say: Say, way: Change, planned: RolledSheet) -> str:
    """Return what a baker does on a way, in a sentence or two."""
    done = []
    if way.sheet.thickness_mm != planned.thickness_mm:
        done.append(say("Roll it to %(thickness)s.", thickness=way.sheet.measure))
    if way.sheet.chilled and not planned.chilled:
        done.append(say("Chill the cut pieces before they bake."))
    for line in way.moved:
        names = {"name": line.ingredient, "old": line.before.measure}
        if line.after is None or not line.after.grams:
            done.append(say("Leave the %(name)s out.", **names))
        elif line.change_percent is None:
            done.append(say("Add %(new)s %(name)s.", new=line.after.measure, **names))
        else:
            new = line.after.measure
            done.append(say("%(name)s: %(new)s instead of %(old)s.", new=new, **names))
    if not done:
        return say("%(thickness)s, the recipe as written.", thickness=planned.measure)
    return " ".join(done)


def why(say: Say, way: Way, most: float) -> str:
    """Return why a way is recommended."""
    words = say("The smallest change within your limit of %(limit)s", limit=limit(say, most))
    if not way.cost:
        return say("Within your limit of %(limit)s as it is.", limit=limit(say, most))
    if not way.moved:
        return f"{words}: {say('not a spoon of the recipe changes.')}"
    return f"{words}."


def mm(value: float) -> str:
    """Return an estimated length [mm] to what it is worth, rounded from what the interface says."""
    value = as_told(value)
    return f"{value:.1f}" if value < 10 else f"{value:.0f}"


def first_lower(text: str) -> str:
    """Return `text` as it stands within a sentence."""
    return text[:1].lower() + text[1:]


def first_upper(text: str) -> str:
    """Return `text` as a sentence begins."""
    return text[:1].upper() + text[1:]


_FIELDS: dict[str, str] = {
    "title": "Name",
    "lines": "Recipe",
    "form": "Form",
    "thickness": "Thickness",
    "pieces": "Pieces",
    "dough": "Grams of dough",
    "flour": "Grams of flour",
    "may_add": "May add",
    "powder": "Strength of the powder",
    "flour_change": "Flour may move",
    "crack_chance_percent": "Chance of a crack",
    "kitchen": "Kitchen",
    **{str(ratio): words.title for ratio, words in RATIO_WORDS.items()},
}


def field_name(say: Say, field: str, line: int | None = None) -> str:
    """Return what a field is called where its fault is told apart from it."""
    kind, _, name = field.partition(".")
    if line is not None:
        return say("Line %(number)s", number=str(line))
    if kind == "most" or f"{kind}." in SHARES.values():
        return name
    if _UNIT.sub("", name) in MEMBERS:
        return say(member_name(name))
    return say(_FIELDS.get(field, _FIELDS.get(kind, "Something")))


def fault(say: Say, english: str, message: str) -> str:
    """Return what is wrong as markup: in the page's language where it has words for it, else
    marked by `english` as what it is."""
    told = say(message.replace("%", "%%"))
    return html.escape(told) if told != message else f"<span{english}>{html.escape(message)}</span>"


def hindrance(say: Say, english: str, conflict: Conflict) -> str:
    """Return as markup which limit stands in the way."""
    if conflict.kind == "crack_chance":
        told = limit(say, conflict.value)
        return html.escape(say("Your limit of %(limit)s stands in the way.", limit=told))
    return f"<span{english}>{html.escape(first_upper(conflict.message))}.</span>"
