"""Identities: names for what is kept, in the order of its making and past guessing.

A name is a short word for its kind and 26 characters of base 32: 56 bits of microseconds, then 74
bits at random. Sorted by name, things stand in the order in which they were made.
"""

import re
import secrets
import time

_ALPHABET = "0123456789abcdefghjkmnpqrstvwxyz"  # no i, l, o and u: nobody misreads a name
_CHARACTERS = 26
_RANDOM_BITS = 74

_IDENTITY = re.compile(r"[A-Za-z0-9_-]{1,32}")


def new_identity(kind: str) -> str:
    """Return a name for something new; `kind` is three to five letters."""
    number = (time.time_ns() // 1000) << _RANDOM_BITS | secrets.randbits(_RANDOM_BITS)
    digits = (number >> 5 * place & 31 for place in reversed(range(_CHARACTERS)))
    return f"{kind}_{''.join(_ALPHABET[digit] for digit in digits)}"


def is_identity(text: str) -> bool:
    """Tell whether `text` could be the name of something kept; what else is sent names nothing."""
    return _IDENTITY.fullmatch(text) is not None
