"""What the quantities of one segment weigh, once it is known of which ingredient.

Of several quantities for the same amount a weight wins over a volume, and grams over ounces.
"""

from dataclasses import dataclass, replace
from fractions import Fraction

from models.ingredient import Ingredient
from models.measures import CUPS_PER, GRAMS_PER, Term, grams_of, number_words, words
from models.pantry import fold
from models.reading.doubts import Uncertain, UnreadableLine, quoted
from models.reading.kitchen_words import PACKETS, PACKS
from models.reading.quantities import Quantity

DISAGREEMENT = Fraction(8, 5)
"""Two ways to say one amount may differ this far: a loose cup of brown sugar holds 145 g, a packed
one 220 g, and no published filling differs more."""

PACKET_OF_SPICE = Fraction(15)
"""Grams in the packet that German spices for baking come in; common practice, no source."""

PACKET_GRAMS = {
    "powdered sugar": Fraction(250),
    "potash": Fraction(15),
    "baker's ammonia": Fraction(15),
    "baking soda": Fraction(5),
    "fresh yeast": Fraction(42),
    "lemon zest": Fraction(6),
    "orange zest": Fraction(6),
    "cornstarch": Fraction(40),
    "gelatin": Fraction(9),
    "candied fruit": Fraction(100),
}
"""Grams in the packets that German shops sell; common practice, no source."""

SACHET_GRAMS = {"baking powder": Fraction(11), "vanilla sugar": Fraction(15, 2)}
"""Grams in the sachets that French shops sell; common practice, no source."""
SACHETS = frozenset({"sachet", "sachets"})

FEWEST_GRAMS = 20
"""A number without a unit from here on is of grams: nobody counts out so many cups."""

OUNCE_OF_WATER = Fraction(26, 25)
"""A fluid ounce this much heavier than an ounce is worth a question; one of soft cheese is not."""


@dataclass(frozen=True, slots=True)
class WeighedQuantity:
    """The quantity that counts, its terms in the words of the ingredient, its grams, its doubts.

    `volume` are the cups and spoons beside a weight that counts.
    """

    quantity: Quantity
    terms: tuple[Term, ...]
    grams: Fraction
    doubts: tuple[Uncertain, ...]
    volume: tuple[Term, ...] = ()


def weigh(quantities: list[Quantity], ingredient: Ingredient) -> WeighedQuantity:
    """Return what `quantities` of `ingredient` weigh; raise UnreadableLine if that is not known."""
    whole = [_with_pieces_multiplied(quantity, quantities) for quantity in quantities]
    known = [
        (quantity, grams)
        for quantity in whole
        if (grams := _grams_of_all(quantity, ingredient)) is not None
    ]
    if not known:
        return _without_a_unit(quantities[0], ingredient)
    counts, grams = min(known, key=lambda pair: _rank(pair[0]))
    said_twice = len(known) > 1 and counts.by_weight
    sure = (one for one in counts.doubts if not (said_twice and one.code == "about"))
    doubts = [*sure, *_ounce_doubts(counts, whole, ingredient)]
    contradicted: list[Uncertain] = []
    for other, other_grams in known:
        contradicted += _disagreement(counts, grams, other, other_grams)
    doubts += contradicted
    for other in whole:
        doubts += _pack_doubts(counts, other, ingredient)
    terms = tuple(_in_pieces(term, ingredient) for term in counts.terms)
    if any(term.unit in SACHETS and ingredient.name in SACHET_GRAMS for term in counts.terms):
        terms = (Term(grams, "g"),)
    elif any(_counts_packets(term, ingredient) for term in counts.terms):
        said = f"A packet of {ingredient.name} was taken to be meant."
        doubts.append(Uncertain.of("vague", f"{said} Give grams to be exact."))
    elif any(
        term.unit in PACKETS and not _is_its_piece(term.unit, ingredient) for term in counts.terms
    ):
        terms = (Term(grams, "g"),)
        said = (
            f"The packet of {ingredient.name} was read as {number_words(grams, by_weight=True)} g."
        )
        doubts.append(Uncertain.of("vague", f"{said} Give grams to be exact."))
    volume = () if contradicted else _volume_beside(counts, known)
    return WeighedQuantity(counts, terms, grams, tuple(doubts), volume)


def _without_a_unit(quantity: Quantity, ingredient: Ingredient) -> WeighedQuantity:
    """Read "1/4 oil" as of a cup, "250 flour" as grams; raise UnreadableLine for anything else."""
    term, cup = quantity.terms[0], ingredient.grams_per_cup
    known = ingredient.composition_source is not None and ingredient.unit_name is None
    if known and not term.unit and term.quantity >= FEWEST_GRAMS:
        in_grams = Term(term.quantity, "g")
        said = f"{number_words(term.quantity)} was taken to be grams. Write the unit."
        doubts = (*quantity.doubts, Uncertain.of("vague", said))
        return WeighedQuantity(
            replace(quantity, terms=[in_grams]), (in_grams,), term.quantity, doubts
        )
    whole_pieces = term.unit or term.quantity.denominator == 1 or ingredient.unit_name
    if cup is None or whole_pieces or len(quantity.terms) > 1:
        raise _unweighable(term, ingredient)
    cups = Term(term.quantity, "cup")
    said = f"{number_words(term.quantity)} was taken to be of a cup. Write the unit."
    doubts = (*quantity.doubts, Uncertain.of("vague", said))
    grams = grams_of(term.quantity, "cup", ingredient) or Fraction(0)
    return WeighedQuantity(replace(quantity, terms=[cups]), (cups,), grams, doubts)


def _volume_beside(counts: Quantity, known: list[tuple[Quantity, Fraction]]) -> tuple[Term, ...]:
    """Return the cups and spoons that stand beside a weight which counts, if any do."""
    if not counts.by_weight or counts.is_packed:
        return ()
    measured = (
        tuple(quantity.terms)
        for quantity, grams in known
        if grams and not quantity.is_pinch and all(term.unit in CUPS_PER for term in quantity.terms)
    )
    return next(measured, ())


def _rank(quantity: Quantity) -> int:
    metric = all(term.unit in {"g", "kg"} for term in quantity.terms)
    return 0 if quantity.by_weight and metric else 1 if quantity.by_weight else 2


def _with_pieces_multiplied(quantity: Quantity, quantities: list[Quantity]) -> Quantity:
    """Return the weight of all pieces where a weight is that of each: 2 sticks (4 oz each)."""
    count = next((q.count for q in quantities if q.count is not None), None)
    if not quantity.each or count is None:
        return quantity
    return replace(quantity, each=False, terms=[term.times(count) for term in quantity.terms])


def _grams_of_all(quantity: Quantity, ingredient: Ingredient) -> Fraction | None:
    total = Fraction(0)
    for term in quantity.terms:
        grams = _grams_of_term(term, ingredient)
        if grams is None:
            return None
        total += grams
    return total


def _grams_of_term(term: Term, ingredient: Ingredient) -> Fraction | None:
    if term.unit in GRAMS_PER or term.unit in CUPS_PER:
        return grams_of(term.quantity, term.unit, ingredient)
    if term.unit in SACHETS and ingredient.name in SACHET_GRAMS:
        return SACHET_GRAMS[ingredient.name] * term.quantity
    if _is_its_piece(term.unit, ingredient) or _counts_packets(term, ingredient):
        return grams_of(term.quantity, "each", ingredient)
    if term.unit in PACKETS:
        one = PACKET_GRAMS.get(ingredient.name)
        if one is None and ingredient.role == "flavour":
            one = PACKET_OF_SPICE
        return None if one is None else one * term.quantity
    return None


def _is_its_piece(unit: str, ingredient: Ingredient) -> bool:
    """Whether a pack, or a bare count (""), is the piece the ingredient comes in.

    Nobody counts butter without saying sticks, so a bare count is never one of packs.
    """
    piece = ingredient.unit_name or "piece"
    if not unit:
        return piece not in PACKS
    return fold(unit) in fold(piece).split() or (unit in PACKETS and piece in PACKETS)


def _counts_packets(term: Term, ingredient: Ingredient) -> bool:
    """Whether a bare count is one of packets: 1 Vanillezucker, 1 levure chimique."""
    return not term.unit and ingredient.unit_name in PACKETS


def _in_pieces(term: Term, ingredient: Ingredient) -> Term:
    if term.unit in GRAMS_PER or term.unit in CUPS_PER:
        return term
    return Term(term.quantity, ingredient.unit_name or "piece")


def _disagreement(
    counts: Quantity, grams: Fraction, other: Quantity, other_grams: Fraction
) -> list[Uncertain]:
    low, high = sorted((grams, other_grams))
    if counts.is_pinch or other.is_pinch or high <= DISAGREEMENT * low:
        return []
    taken, left = (number_words(g, by_weight=True) for g in (grams, other_grams))
    return [
        Uncertain.of(
            "disagreement",
            f"The line gives its amount twice, as {taken} g and as about {left} g; "
            f"{taken} g counts. Check both.",
        )
    ]


def _pack_doubts(counts: Quantity, other: Quantity, ingredient: Ingredient) -> list[Uncertain]:
    """Doubt a pack or number that the weight which counts says nothing about."""
    if other is counts or other.count is None or _grams_of_all(other, ingredient) is not None:
        return []
    number = number_words(other.count)
    if other.is_bare:
        return [
            Uncertain.of(
                "words",
                f"{quoted(number)} was not understood beside the other amount.",
            )
        ]
    if other.count == 1:
        return []
    return [
        Uncertain.of(
            "each",
            f"The amount beside them was read as that of all {number} packs together. "
            'Add "each" if it is the weight of one.',
        )
    ]


def _ounce_doubts(
    counts: Quantity, quantities: list[Quantity], ingredient: Ingredient
) -> list[Uncertain]:
    """Doubt ounces of a pourable liquid, which many measure in the jug."""
    cup = ingredient.cup_grams
    ounces = [term for term in counts.terms if term.unit == "oz"]
    if (
        len(quantities) > 1
        or counts.is_packed
        or not ounces
        or cup is None
        or ingredient.role != "liquid"
    ):
        return []
    if cup * CUPS_PER["fl_oz"] <= OUNCE_OF_WATER * GRAMS_PER["oz"]:
        return []
    return [
        Uncertain.of(
            "ounce",
            f"Ounces of {ingredient.name} were read by weight. "
            "Write fl oz for fluid ounces, or give grams.",
        )
    ]


def _unweighable(term: Term, ingredient: Ingredient) -> UnreadableLine:
    name, number, piece = ingredient.name, number_words(term.quantity), ingredient.unit_name
    seen = f"{number} {term.unit} of {name}" if term.unit else f"{number} of {name}"
    advice = f"Give grams, for instance {quoted(f'100 g {name}')}."
    if term.unit in CUPS_PER:
        why = "what a cup of it weighs is not known"
    elif term.unit:
        why = "what one of these weighs is not known"
    elif piece is not None and ingredient.grams_per_unit is not None:
        why = f"not of what measure. If {words(Term(term.quantity, piece))} are meant, write that"
    else:
        why = "neither a unit that is known nor the weight of a piece"
    return UnreadableLine(f"The line gives {seen}, but {why}. {advice}", rest=seen)
