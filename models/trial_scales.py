"""The scales by which the outcome of a bake is told: our own, in the words of whoever bakes.

What is told by them is `models.trial`; bake sheets print them to be ticked.
"""

from typing import Annotated

from pydantic import Field

CRACK_GRADES = ("none", "hairlines", "a crack that shows", "open", "fell apart")
"""A scale of our own, 0 to 4; the chance of a crack is that of grade 2 or more."""

HANDLING_GRADES = (
    "drapes and holds",
    "small tears, mended by hand",
    "tears, sticks or springs back",
    "could not be shaped",
)
"""How the raw sheet took to being cut and laid over the form, 0 to 3."""

TEXTURE_GRADES = (
    "as the original",
    "a little firmer or drier",
    "clearly firmer or drier",
    "not good to eat",
)
"""How it ate, 0 to 3, beside the recipe as it was before anything was changed."""

CANNOT_BE_SHAPED = 3

CrackGrade = Annotated[int, Field(ge=0, le=len(CRACK_GRADES) - 1)]
Handling = Annotated[int, Field(ge=0, le=len(HANDLING_GRADES) - 1)]
Texture = Annotated[int, Field(ge=0, le=len(TEXTURE_GRADES) - 1)]
