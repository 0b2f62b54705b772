"""What holds of every kitchen, whatever it is told: words and finite numbers, never a crash."""

import json
import math
from datetime import UTC, datetime

from hypothesis import given, settings
from hypothesis import strategies as st
from pydantic import ValidationError

from models.errors import BadInput
from models.next_bake import NextBakeRequest
from models.trial import StoredTrial, Trial
from service.questions.knowing import _learn
from service.questions.lessons import lessons_of
from service.questions.next_bakes import next_bake
from service.store.trials import as_told

KITCHEN = "kit_" + "0" * 26
FOODS = (
    "all-purpose flour",
    "unsalted butter",
    "brown sugar",
    "molasses",
    "egg",
    "baking soda",
    "almond meal",
    "vegetable oil",
    "baking ammonia",
    "lemon juice",
)
AMOUNTS = st.sampled_from([0.0, 0.001, 1.5, 6.0, 50.0, 230.0, 440.0, 40_000.0])
FORMS = st.sampled_from(
    [
        {"kind": "cylinder", "diameter_mm": 20, "wrap_degrees": 240},
        {"kind": "cylinder", "diameter_mm": 70, "wrap_degrees": 120},
        {"kind": "dome", "diameter_mm": 1000, "cap_degrees": 10},
        {"kind": "wave", "crest_radius_mm": 5, "slope_degrees": 80},
        {
            "kind": "cone",
            "base_diameter_mm": 1000,
            "top_diameter_mm": 990,
            "height_mm": 500,
            "wrap_degrees": 10,
        },
        {"kind": "flat_round", "diameter_mm": 90},
        {"kind": "leaning_panel", "width_mm": 100, "height_mm": 120, "lean_degrees": 85},
    ]
)
THICKNESSES = st.sampled_from([1.5, 2.5, 4.0, 5.0, 8.0])
RECIPES = st.dictionaries(st.sampled_from(FOODS), AMOUNTS, min_size=1, max_size=6).map(
    lambda grams: {
        "lines": [
            {"ingredient": name, "quantity": amount, "unit": "g"} for name, amount in grams.items()
        ]
    }
)
PIECES = st.lists(
    st.fixed_dictionaries({"crack_grade": st.integers(0, 4), "slipped": st.booleans()}),
    min_size=1,
    max_size=8,
)
ROUNDS = st.fixed_dictionaries(
    {
        "thickness_mm": THICKNESSES,
        "before_mm": st.sampled_from([20, 60, 300]),
        "after_mm": st.sampled_from([16, 48, 61, 180, 400, 900]),
    }
)
TRAYS = st.fixed_dictionaries(
    {
        "recipe": RECIPES,
        "form": FORMS,
        "chilled": st.booleans(),
        "sheets": st.lists(
            st.fixed_dictionaries({"thickness_mm": THICKNESSES, "pieces": PIECES}), max_size=3
        ),
    },
    optional={"flat_round": ROUNDS, "handling": st.integers(0, 3), "texture": st.integers(0, 3)},
)
QUESTIONS = st.fixed_dictionaries(
    {
        "recipe": RECIPES,
        "target": st.fixed_dictionaries({"form": FORMS, "thickness_mm": THICKNESSES}),
        "preference": st.sampled_from(["safer", "closer"]),
    }
)


def read(kind, content):
    """What was told, read as JSON is; None where it is refused, with words."""
    try:
        return kind.model_validate_json(json.dumps(content))
    except ValidationError as invalid:
        assert all(fault.message for fault in BadInput.of(invalid).faults)
        return None


def numbers_in(content):
    if isinstance(content, dict):
        content = list(content.values())
    if isinstance(content, list):
        return [number for part in content for number in numbers_in(part)]
    return [content] if isinstance(content, float) else []


@settings(max_examples=12, deadline=None)
@given(st.lists(TRAYS, max_size=6), QUESTIONS)
def test_a_kitchen_answers_whatever_it_was_told(told, question):
    """Trays of doughs that are none, on any form, in contradiction: those that can be are learned
    from, and lessons and the next bake are finite numbers or a refusal in words."""
    now = datetime.now(UTC)
    trials = [trial for tray in told if (trial := read(Trial, tray)) is not None]
    stored = [
        StoredTrial(
            id=f"trial_{at:026}",
            kitchen_id=KITCHEN,
            version=1,
            trial=as_told(trial),
            created_at=now,
            changed_at=now,
        )
        for at, trial in enumerate(trials)
    ]
    known = _learn(KITCHEN, stored)
    lessons = lessons_of(known)
    assert len(lessons.trials) == len(trials)
    answers = [lessons.model_dump(mode="json")]
    asked = read(NextBakeRequest, question)
    if asked is not None:
        try:
            answers.append(next_bake(asked, known.learned, known.taught).model_dump(mode="json"))
        except BadInput as refused:
            assert all(fault.message for fault in refused.faults)
    assert all(math.isfinite(number) for answer in answers for number in numbers_in(answer))
    assert "nan" not in lessons.svg
