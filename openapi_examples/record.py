"""Record every case from the real app, or with --check compare it with what is on file.

    python -m openapi_examples.record [--check]

Writes one file a case and `openapi.json`, which is the document as the service serves it.
"""

import difflib
import sys
import tempfile
from pathlib import Path

from openapi_examples.asking import as_text, recorded, recorded_story, told
from openapi_examples.cases import CASES
from openapi_examples.shop_day import REFUSALS, STORY
from service.app import create_app
from service.http.openapi_document import document
from service.settings import Settings

HERE = Path(__file__).parent


def main(arguments: list[str]) -> int:
    """Write the files, or return 1 where they are not what the app answers today."""
    made = files()
    if "--check" not in arguments:
        for path in HERE.glob("*.json"):
            path.unlink()
        for name, text in made.items():
            (HERE / name).write_text(text)
        print(f"{len(made)} files recorded")
        return 0
    stale = [name for name, text in made.items() if on_file(name) != text]
    stale += [path.name for path in HERE.glob("*.json") if path.name not in made]
    for name in stale:
        old, new = on_file(name).splitlines(), made.get(name, "").splitlines()
        print(
            *list(difflib.unified_diff(old, new, name, "as answered", lineterm=""))[:40], sep="\n"
        )
    print(f"{len(made)} examples, {len(stale)} not as the app answers")
    return 1 if stale else 0


def files() -> dict[str, str]:
    """Return every file's name and content, as the app answers today."""
    with tempfile.TemporaryDirectory() as folder:
        address = f"sqlite:///{folder}/examples.sqlite3"
        pairs = {case.name: recorded(case, address) for case in (*CASES, *REFUSALS)}
        pairs |= recorded_story(STORY, address)
        described = document(create_app(Settings(database_url=address)), pairs)
    return {**dict(told(pairs)), "openapi.json": as_text(described)}


def on_file(name: str) -> str:
    """Return what was recorded under `name`, nothing where there is none."""
    path = HERE / name
    return path.read_text() if path.exists() else ""


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
