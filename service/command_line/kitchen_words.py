"""What a kitchen learned and what it is to bake next, as people read it on a screen."""

from models.chance import chance_figure
from models.lessons import Lessons, TrayLesson
from models.next_bake import NextBake, OtherWay, TraySheet
from models.recipe import line_words
from models.trial import StoredTrial
from service.command_line.layout import columns, plain, points
from service.exchange.trial_files import TrialImport


def next_bake_words(advised: NextBake) -> list[str]:
    """Return what to bake next, or which recipe to publish, and why."""
    on_it = [*map(_sheet_words, advised.sheets), *filter(None, [advised.flat_round])]
    return [
        advised.words,
        *points("Why", (advised.reason, advised.kitchen.words)),
        *points("The dough", map(line_words, advised.recipe.lines)),
        *points("On the tray" if advised.step == "bake" else "The sheet", on_it),
        *points("What would have to give", advised.would_have_to_give),
        *points("Others that lose little more", map(_other_words, advised.others)),
        *points("Cautions", (f"{c.text} [{c.source}]" for c in advised.cautions)),
        *points("Keep in mind", advised.limits_of_the_model),
    ]


def _sheet_words(sheet: TraySheet) -> str:
    pieces = f"{sheet.pieces} piece{'s' if sheet.pieces != 1 else ''}"
    chance = chance_figure(sheet.chance_percent)
    return f"{pieces} rolled to {sheet.thickness}: chance of a crack {chance}"


def _other_words(way: OtherWay) -> str:
    return f"{way.words} Holds with {way.holds_percent:.0f} %, costs {way.texture_cost:.2f}."


def lessons_words(learned: Lessons) -> list[str]:
    """Return what each tray taught, and how often the chances came true."""
    chances = [
        (
            f"{one.from_percent:g} to {one.to_percent:g} %",
            str(one.pieces),
            f"{one.foretold_percent:.0f} %",
            f"{one.cracked_percent:.0f} %",
        )
        for one in learned.calibration
    ]
    left_out = f"{learned.left_out} trials were left out: unreadable, or too many."
    return [
        learned.words,
        *points("What each tray taught", map(_tray_words, learned.trials)),
        *(
            [
                "",
                *columns(("foretold", "pieces", "on average", "cracked"), chances, right=(1, 2, 3)),
            ]
            if chances
            else []
        ),
        *(["", left_out] if learned.left_out else []),
    ]


def _tray_words(lesson: TrayLesson) -> str:
    return f"{lesson.trial_id}: {lesson.words}{' A surprise.' if lesson.is_surprising else ''}"


def logged_words(kept: StoredTrial, learned: Lessons) -> list[str]:
    """Return under which name a tray was kept, and what it taught."""
    taught = [one.words for one in learned.trials if one.trial_id == kept.id]
    return [f"Logged as {kept.id}.", *taught, learned.words]


def import_words(found: TrialImport) -> list[str]:
    """Return what became of a file of trials."""
    counts = f"{found.created} new, {found.corrected} corrected, {found.unchanged} there already"
    return [
        f"{counts}, {found.left_out} left out.",
        *(plain(f"  row {fault.row}: {fault.message}") for fault in found.faults),
    ]
