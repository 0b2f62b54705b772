"""Trials as CSV, for a spreadsheet: a piece a row, rows with one name in `trial` one tray.

A recipe is a cell: its lines as text where they all are text, else the recipe as JSON. NDJSON, and
what becomes of what is read, is `service.exchange.trial_files`.
"""

import csv
import io
import json
from collections.abc import Iterable, Iterator
from typing import Any

from models.trial import StoredTrial
from service.exchange.csv_cells import defuse, restore
from service.exchange.trial_told import Told, tell

COLUMNS = (
    "trial",
    "kitchen_id",
    "title",
    "recipe",
    "form",
    "chilled",
    "thickness_mm",
    "crack_grade",
    "slipped",
    "handling",
    "texture",
    "round_thickness_mm",
    "round_before_mm",
    "round_after_mm",
    "powder_strength",
    "baked_at",
    "photographs",
    "note",
)


def write_csv(stored: Iterable[StoredTrial]) -> Iterator[str]:
    """Yield a row for each piece, and one for a tray without any."""
    yield _row(COLUMNS)
    for one in stored:
        of_tray = _tray_cells(one)
        sheets = one.trial.get("sheets") or [{"pieces": [{}]}]
        for sheet in sheets:
            for piece in sheet["pieces"]:
                cells = {
                    **of_tray,
                    "thickness_mm": sheet.get("thickness_mm", ""),
                    "crack_grade": piece.get("crack_grade", ""),
                    "slipped": _yes(piece.get("slipped")),
                }
                yield _row([cells.get(name, "") for name in COLUMNS])


def _tray_cells(one: StoredTrial) -> dict[str, Any]:
    told, grown = one.trial, one.trial.get("flat_round") or {}
    recipe = dict(told["recipe"])
    lines = recipe.get("lines", [])
    plain = set(recipe) <= {"lines", "title"} and all(set(line) == {"text"} for line in lines)
    if plain and not any("\n" in line["text"] or "\r" in line["text"] for line in lines):
        title, words = recipe.get("title") or "", "\n".join(line["text"] for line in lines)
    else:
        title, words = "", json.dumps(recipe, ensure_ascii=False)
    form = " ".join(f"{name}={value}" for name, value in told["form"].items())
    names = ("handling", "texture", "powder_strength", "baked_at", "note")
    return {
        "trial": one.id,
        "kitchen_id": one.kitchen_id,
        "title": title,
        "recipe": words,
        "form": form,
        "chilled": _yes(told.get("chilled")),
        **{f"round_{name}": grown.get(name, "") for name in grown},
        "photographs": " ".join(told.get("photographs", ())),
        **{name: "" if told.get(name) is None else told[name] for name in names},
    }


def _yes(said: bool | None) -> str:
    return "" if said is None else ("yes" if said else "no")


def _row(cells: Iterable[Any]) -> str:
    written = io.StringIO()
    csv.writer(written).writerow([defuse(str(cell)) for cell in cells])
    return written.getvalue()


def read_csv(body: bytes) -> Iterator[Told]:
    """Yield every tray: rows with the same name in `trial`; a row without one is its own."""
    try:
        text = body.decode("utf-8-sig")
    except UnicodeDecodeError:
        yield Told(1, None, None, None, "is not UTF-8; save the file as UTF-8")
        return
    delimiter = (
        ";" if text.partition("\n")[0].count(";") > text.partition("\n")[0].count(",") else ","
    )
    reader = csv.DictReader(io.StringIO(text, newline=""), delimiter=delimiter)
    try:
        rows = list(reader)
    except csv.Error as wrong:
        yield Told(1, None, None, None, f"cannot be divided into cells ({wrong})")
        return
    if "recipe" not in (reader.fieldnames or ()):
        known = ", ".join(COLUMNS)
        yield Told(1, None, None, None, f"begins with no row that names the columns: {known}")
        return
    trays: dict[str, list[tuple[int, dict[str, str]]]] = {}
    for number, row in enumerate(rows, start=2):
        cells = {k: restore(v) for k, v in row.items() if isinstance(k, str) and isinstance(v, str)}
        trays.setdefault(cells.get("trial") or f"\0{number}", []).append((number, cells))
    for name, pieces in trays.items():
        yield _told_tray(None if name.startswith("\0") else name, pieces)


def _told_tray(identity: str | None, rows: list[tuple[int, dict[str, str]]]) -> Told:
    number, first = rows[0]
    strangers = set(first) - set(COLUMNS) - {""}
    if strangers:
        known = ", ".join(COLUMNS)
        message = f"has columns nobody knows ({', '.join(sorted(strangers))}); these are: {known}"
        return Told(number, identity, None, None, message)
    try:
        content = _tray_of(first)
        sheets: dict[float, list[dict[str, Any]]] = {}
        for _, cells in rows:
            if cells.get("crack_grade"):
                piece: dict[str, Any] = {"crack_grade": _number(cells, "crack_grade")}
                if cells.get("slipped"):
                    piece["slipped"] = _said(cells, "slipped")
                sheets.setdefault(_length(cells, "thickness_mm"), []).append(piece)
    except ValueError as wrong:
        return Told(number, identity, first.get("kitchen_id") or None, None, str(wrong))
    if sheets:
        content["sheets"] = [{"thickness_mm": t, "pieces": pieces} for t, pieces in sheets.items()]
    return tell(number, identity, first.get("kitchen_id") or None, content)


def _tray_of(cells: dict[str, str]) -> dict[str, Any]:
    words = cells.get("recipe", "")
    if words.startswith("{"):
        recipe = json.loads(words)
    else:
        recipe = {"lines": [{"text": line} for line in words.splitlines() if line.strip()]}
        if cells.get("title"):
            recipe["title"] = cells["title"]
    content: dict[str, Any] = {"recipe": recipe, "form": _form(cells.get("form", ""))}
    if cells.get("chilled"):
        content["chilled"] = _said(cells, "chilled")
    grown = {
        name: _length(cells, f"round_{name}")
        for name in ("thickness_mm", "before_mm", "after_mm")
        if cells.get(f"round_{name}")
    }
    if grown:
        content["flat_round"] = grown
    for name in ("handling", "texture", "powder_strength"):
        if cells.get(name):
            content[name] = _number(cells, name)
    for name in ("baked_at", "note"):
        if cells.get(name):
            content[name] = cells[name]
    if cells.get("photographs"):
        content["photographs"] = cells["photographs"].split()
    return content


def _form(words: str) -> dict[str, Any]:
    members = [part.partition("=") for part in words.split()]
    if not members or any(not equals for _, equals, _ in members):
        raise ValueError(
            'form: write it as "kind=cylinder diameter_mm=80 wrap_degrees=150", with the members '
            "that GET /v1/forms names"
        )
    return {name: value if name == "kind" else _as_number(value) for name, _, value in members}


def _number(cells: dict[str, str], name: str) -> Any:
    value = _as_number(cells[name])
    if isinstance(value, str):
        raise ValueError(f'{name}: "{value[:40]}" is no number')
    return value


def _length(cells: dict[str, str], name: str) -> Any:
    if not cells.get(name):
        raise ValueError(f"{name}: is missing; give millimetres")
    return _as_number(cells[name])


def _as_number(words: str) -> Any:
    for kind in (int, float):
        try:
            return kind(words.replace(",", "."))
        except ValueError:
            continue
    return words


def _said(cells: dict[str, str], name: str) -> bool:
    said = cells[name].strip().lower()
    if said not in {"yes", "no", "true", "false", "1", "0"}:
        raise ValueError(f'{name}: "{said[:40]}" is neither yes nor no')
    return said in {"yes", "true", "1"}
