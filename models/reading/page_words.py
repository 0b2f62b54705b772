"""The words of a page around its ingredients: what opens a stretch of it, and what is furniture.

"Method", "Zubereitung", "Notes" open stretches in which nothing is weighed out; "Print", "4.8 from
112 reviews" and "Bon appétit !" say nothing of the dough. Common practice, no source.
"""

import re
from typing import Literal

Stretch = Literal["ingredients", "method", "notes"]
"""What a heading opens: what is weighed out, what is done, what else is said."""

_OPENINGS: tuple[tuple[Stretch, str], ...] = (
    (
        "ingredients",
        r"(?:the |list of )?ingredients?(?: list| needed)?|you(?:'ll|’ll| will)? need|what"
        r" you(?:'ll|’ll| will)? need"
        r"|shopping list|la liste de courses"
        r"|(?:die )?zutaten(?:liste)?|das brauch(?:t ihr|st du|en sie)|einkaufsliste"
        r"|(?:les |liste des )?ingr[ée]dients?|il vous faut|ce qu[’']il faut",
    ),
    (
        "method",
        r"(?:the |recipe |baking |cooking |step[- ]by[- ]step )?(?:instructions?|methods?"
        r"|directions?|steps?"
        r"|procedures?|preparation)|how to (?:make|bake|do)(?: it| them| this)?.{0,60}|what to do"
        r"|let[’']s bake|(?:die )?zubereitung(?:sschritte)?|anleitung(?:en)?|schritte?"
        r"|arbeitsschritte"
        r"|so geht[’']?s|so wird[’']?s gemacht|herstellung|(?:la )?pr[ée]paration|r[ée]alisation"
        r"|(?:les )?[ée]tapes"
        r"|d[ée]roulement|m[ée]thode|instructions de cuisson|mode op[ée]ratoire",
    ),
    (
        "notes",
        r"(?:recipe |cook[’']s |baker[’']s |my )?(?:notes?|tips?|hints?)(?: (?:and|&) (?:tips?"
        r"|tricks?|notes?))?"
        r"|(?:special |recommended )?equipment|tools|storage|to store|make[- ]ahead|freezing"
        r"|variations?"
        r"|substitutions?|faqs?|questions|nutrition(?:al)?(?: facts| info| information)?"
        r"|comments?|reviews?"
        r"|(?:you (?:may|might) also like|related (?:recipes|posts)|more recipes).{0,60}|video"
        r"|about (?:me|this recipe)"
        r"|hinweise?|tipps?|anmerkungen?|n[äa]hrwerte?(?: pro .{1,30})?|kommentare?|bewertungen"
        r"|aufbewahrung"
        r"|k[üu]chenger[äa]te|utensilien|variationen?|zubeh[öo]r|astuces?|conseils?|remarques?"
        r"|(?:la )?liste des ustensiles|ustensiles|mat[ée]riel"
        r"|valeurs nutritionnelles|commentaires?|conservation|variantes?|notes? du chef",
    ),
)
_OPENING = {
    stretch: re.compile(
        rf"[^\w]*(?:{words})(?:\s*\(.{{0,60}}\)|\W{{1,3}}(?:for|für|pour)\s.{{0,50}}"
        rf"|(?:\s+\d+x)+)?[^\w)]*",
        re.IGNORECASE,
    )
    for stretch, words in _OPENINGS
}
_FURNITURE = re.compile(
    r"★|☆|⭐|^\W*(?:(?:mon|tues|wednes|thurs|fri|satur|sun)day\b,?.*\d{4}"
    r"|(?:\d{1,2}\.? )?(?:january|february|march|april|may|june|july|august|september|october"
    r"|november|december|januar|februar|märz|mai|juni|juli|oktober|dezember|janvier|février|mars"
    r"|avril|juin|juillet|août|septembre|octobre|novembre|décembre)\b.{0,12}\d{4}\W*$"
    r"|print|pin\b(?! of)|jump to|rate|review|share|save|subscribe|sign up|follow|tag"
    r"|click|watch"
    r"|scroll|cook mode|keep screen|ad(?:vertisement)?\b|sponsored|affiliate|this post|as an|did"
    r" you"
    r"|leave a|let me know|us customary|metric|imperial|enjoy|scale\b|\d+x\b|home\b|menu\b|search\b"
    r"|skip to|posted|published|updated|photo|image|credit|by [a-z]+$|from the|copyright|©|all"
    r" rights"
    r"|(?:rezept )?drucken|merken|teilen|speichern|bewerte|guten appetit|anzeige|werbung|viel"
    r" spa[ßs]"
    r"|foto|von [a-zäöü]+$|imprimer|partager|[ée]pingler|enregistrer|bon app[ée]tit|r[ée]galez"
    r"|publicit[ée]"
    r"|not(?:er|ez) |abonnez|donnez votre)|\b\d+ (?:comments?|reviews?|ratings?|votes?|shares?"
    r"|kommentare?|bewertung(?:en)?|avis|commentaires?)\b|https?://|www\.|@\w+|^\W*#\w",
    re.IGNORECASE,
)
_NUTRITION = re.compile(r"\d\s*(?:k?cals?|kj|kcals|calories)\b|\bcalories\b\W*\d", re.IGNORECASE)
_YIELD = re.compile(
    r"^\W*(?:makes?|yields?|servings?|serves?|portions?|portionen|ergibt|reicht für|menge"
    r"|stückzahl|rendement"
    r"|nombre de (?:parts|personnes))\b\W*(?P<a>.*\d.*|.*dozen.*)$"
    r"|^\W*(?:(?:zutaten|ingr[ée]dients|ingredients)\W+)?\(?(?:für|pour|for)\s+(?P<b>(?:ca\.?"
    r"|etwa|about|around|environ|une?|ein(?:e|en)?)?"
    r"\s*\d.*?)\)?\s*:?\s*$",
    re.IGNORECASE | re.DOTALL,
)


def opens(text: str) -> Stretch | None:
    """Return what a heading opens, None for a line that is no such heading."""
    if len(text) > 120:
        return None
    bare = text.strip().strip("#*_=-–—•: \t")
    for stretch, opening in _OPENING.items():
        if opening.fullmatch(bare):
            return stretch
    return None


def is_furniture(text: str) -> bool:
    """Tell whether a line belongs to the page and not to its recipe."""
    return _FURNITURE.search(text) is not None


def is_nutrition(text: str) -> bool:
    """Tell whether a line counts calories."""
    return _NUTRITION.search(text) is not None


def yield_in(text: str) -> str | None:
    """Return what a line says the recipe makes: "30 cookies" of "Makes 30 cookies"."""
    found = _YIELD.search(text) if len(text) <= 200 else None
    return None if found is None else (found["a"] or found["b"] or "").strip(" :.–—-") or None
