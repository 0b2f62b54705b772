"""States of pieces that the drawings are tried with."""

import json
from typing import Any

import pytest

from models.brief import RecipeToWeigh
from models.target import Target
from service.drawings.section import SectionState
from service.questions.sections import section_state


def state_of(
    recipe: dict[str, Any], form: dict[str, Any], thickness: Any, label: str = "As written"
) -> SectionState:
    formula = RecipeToWeigh.model_validate_json(json.dumps({"recipe": recipe})).formula
    target = {"form": form, "thickness_mm": thickness}
    return section_state(label, formula, Target.model_validate_json(json.dumps(target)))


@pytest.fixture
def before_and_after(lantern):
    """The lantern dough on one form, rolled 3/16 in and then 3 mm."""

    def states(form: dict[str, Any]) -> list[SectionState]:
        return [
            state_of(lantern["recipe"], form, "3/16 in", "As written"),
            state_of(lantern["recipe"], form, 3, "Rolled 3 mm"),
        ]

    return states
