"""What stands apart from the name in a line: in brackets, after a comma or after a dash."""

from models.reading.tokens import DASHES, TokenLine

BREAKS = frozenset(",;:")
LONGEST_CHAT = 40
"""Words in one bracket; what stands in a longer one is no aside."""


def is_in_brackets(line: TokenLine, at: int) -> bool:
    """Tell whether a token stands in brackets."""
    depth = 0
    for near in range(at, max(-1, at - LONGEST_CHAT), -1):
        depth += (line[near].text in {"(", "["}) - (line[near].text in {")", "]"})
        if depth > 0:
            return True
    return False


def is_set_apart(line: TokenLine, at: int) -> bool:
    """Tell whether a token stands in brackets, or after a comma or dash."""
    near = range(at, max(0, at - LONGEST_CHAT), -1)
    return is_aside(line, at) or any(line[one].text in BREAKS for one in near)


def is_aside(line: TokenLine, at: int) -> bool:
    """Tell whether a token stands in brackets, or after a dash between blanks."""
    near = range(at, max(0, at - LONGEST_CHAT), -1)
    dashed = (line[one].text in DASHES and not line.touches(one) for one in near)
    return is_in_brackets(line, at) or any(dashed)
