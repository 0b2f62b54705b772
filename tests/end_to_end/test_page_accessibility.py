"""The page for everyone: automatic rules to WCAG 2.2 AA, narrow, enlarged and in the dark."""

import shutil
import subprocess
from pathlib import Path

import pytest

from tests.end_to_end.visiting import ARTEFACTS, required, visiting
from tests.end_to_end.visiting import chromium as chromium

RULES = ["wcag2a", "wcag2aa", "wcag21a", "wcag21aa", "wcag22aa"]
AXE = "axe-core@4.14.1"

LOOKS = {"phone": (320, "light"), "phone_dark": (320, "dark"), "enlarged": (640, "light"),
         "desk_dark": (1240, "dark")}  # fmt: skip
"""Widths in CSS pixels; a window of 1,280 has 640 at 200 %."""

PAGES = {
    "fresh": "/",
    "answered": "/?example=lantern",
    "doubtful": "/?example=chimney&do=answer",
    "infeasible": "/?example=harbour",
    "faulty": "/?lines=fairy+dust&thickness=thin&do=answer",
}


@pytest.fixture(scope="session")
def axe() -> str:
    """The checker's script, fetched once and kept with the artefacts."""
    folder = ARTEFACTS.parent / "axe"
    script = folder / "node_modules" / "axe-core" / "axe.min.js"
    if not script.exists():
        npm = shutil.which("npm") or required("npm")
        command = [npm, "install", "--ignore-scripts", "--no-save", "--prefix", str(folder), AXE]
        done = subprocess.run(command, capture_output=True, timeout=120, check=False)
        if done.returncode:
            required("axe-core from npm")
    return Path(script).read_text()


@pytest.mark.parametrize("name", PAGES)
def test_no_rule_is_broken_and_nothing_is_cut_off(chromium, server, axe, name):
    """In each look, a state of the page breaks no rule and needs no sideways scrolling."""
    with visiting(chromium, server) as visitor:
        page = visitor.go(PAGES[name])
        page.evaluate("document.querySelectorAll('details').forEach(each => each.open = true)")
        page.evaluate(axe)
        for look, (width, colours) in LOOKS.items():
            page.set_viewport_size({"width": width, "height": 900})
            page.emulate_media(color_scheme=colours)
            found = page.evaluate("rules => axe.run({runOnly: rules})", RULES)
            broken = [(v["id"], [n["html"] for n in v["nodes"]]) for v in found["violations"]]
            assert broken == [], look
            assert found["passes"], "the checker looked at nothing"
            assert page.evaluate("document.documentElement.scrollWidth") <= width, look
            visitor.shoot(f"{name}_{look}")
