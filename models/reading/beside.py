"""What is said to be for the board, the tin or the table, and not for the dough.

Common practice, no source.
"""

import re

_SURFACES = (
    r"tins?|pans?|trays?|boards?|(?:work )?surface|(?:\w+)?form(?:en)?|arbeitsfläche|(?:back)?blech"
    r"|plan de travail|moules?|plaques?"
)
_FOR_THE = r"\bfür (?:die |das |den |eine? )?(?:[\w-]+ )?"
_POUR_LE = r"\bpour (?:le |la |les |l['’]|du )?"
_BESIDE = re.compile(
    r"^\W*egg ?wash\b"
    r"|\b(?:for|to)\b.{0,40}\b(?:dust\w*|roll\w* out|rolling|greas\w+|brush\w*|sprinkl\w+"
    r"|serv(?:e|ing)|egg ?wash|glaze\b|glazing|decorat\w+|garnish\w*|coat\w*|finish\w*"
    r"|top(?:ping)?|icing|frosting|drizzl\w+|kneading"
    rf"|{_SURFACES})\b"
    r"|\b(?:zum|zur) (?:be\w+|verzier\w+|ausrollen|servieren|einfetten|ausfetten|wälzen|garnieren"
    r"|dekor\w+|füllen|ausstreuen|einstreichen|überziehen|glasieren|tunken|eintauchen|kneten"
    r"|verarbeiten|verarbeitung|verzierung|garnitur|arbeiten|formen)\b"
    rf"|{_FOR_THE}(?:{_SURFACES}|glasur|zuckerguss|guss|füllung|deko\w*|verzierung|garnitur|belag"
    r"|topping|überzug|streusel|bestreuen|bestäuben)\b"
    rf"|{_POUR_LE}(?:{_SURFACES}|saupoudr\w+|décor\w*|fariner|servir|dor\w+|gla[çc]\w+|nappage"
    r"|garni\w+|finition|enrob\w+|étaler|tartiner|roul\w+|beurrer|graisser|badigeonn\w+|parsem\w+"
    r"|fleurer|travail\w*|façonn\w+)\b",
    re.IGNORECASE,
)
_UNDER_IT = re.compile(rf"\b(?:{_SURFACES})\b", re.IGNORECASE)


def beside_in(text: str) -> re.Match[str] | None:
    """Return where a line says that something is beside the dough, None where it does not."""
    return _BESIDE.search(text)


def is_beside(text: str) -> bool:
    """Tell whether words name a use beside the dough."""
    return _BESIDE.search(text) is not None


def names_a_surface(text: str) -> bool:
    """Tell whether words name what a dough lies on: a board, a tin, a tray."""
    return _UNDER_IT.search(text) is not None
