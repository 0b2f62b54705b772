"""The language that a recipe is written in, guessed from its small words and units.

Lines are read alike in all three; the language is said so that a person sees what was assumed.
Common practice, no source.
"""

import re
from collections.abc import Iterable
from typing import Literal, get_args

Language = Literal["en", "de", "fr"]
"""ISO 639-1 codes of the languages that are read."""


def _set(words: str) -> frozenset[str]:
    return frozenset(words.split())


_WORDS: dict[Language, frozenset[str]] = {
    "en": _set(
        "cup cups tbsp tsp tablespoon tablespoons teaspoon teaspoons of the and with for flour"
        " sugar butter egg eggs salt milk until into baking ounces oz stick sticks softened plus"
        " large water ground powder soda syrup plain brown your if"
    ),
    "de": _set(
        "el tl prise päckchen pck msp mehl zucker ei eier salz milch wasser und der die das den"
        " dem mit für oder teig zutaten zubereitung ofen minuten backpulver weiche weich"
        " puderzucker honig gemahlene stück etwas auf bei zum nach esslöffel teelöffel eigelb"
        " natron sahne zimt größe"
    ),
    "fr": _set(
        "de du des la le les et une un pour avec dans farine sucre beurre œuf œufs oeuf oeufs sel"
        " lait eau cuillère cuillères soupe café sachet pincée levure ou au aux préparation"
        " cuisson four miel poudre cannelle amandes d l jaune crème càs càc"
    ),
}
_WORD = re.compile(r"[^\W\d_]+")


def guess_language(texts: Iterable[str]) -> Language:
    """Return the language whose words are the most; English where nothing tells."""
    words = [word for text in texts for word in _WORD.findall(text[:2000].casefold())]
    languages: tuple[Language, ...] = get_args(Language)
    return max(languages, key=lambda one: sum(word in _WORDS[one] for word in words))
