"""A template printed by a real browser measures what it says."""

import os
import re
import shutil
import subprocess
import sys
import zlib
from pathlib import Path

import pytest

POINTS_PER_MM = 72 / 25.4
BROWSERS = ("chromium", "chromium-browser", "google-chrome", "chrome")


@pytest.fixture(scope="session")
def browser() -> str:
    found = next(filter(None, map(shutil.which, BROWSERS)), None)
    if found is None and os.environ.get("FORMHOLD_REQUIRE_BROWSER") == "1":
        pytest.fail("FORMHOLD_REQUIRE_BROWSER is set and there is no Chromium")
    if found is None:
        pytest.skip("no Chromium here to print with")
    return found


def drawn(path: Path, *dimensions: str) -> Path:
    command = [sys.executable, "-m", "service", "template", *dimensions, "--svg", str(path)]
    subprocess.run(command, check=True, capture_output=True, timeout=60)
    return path


def printed(browser: str, drawing: Path) -> bytes:
    """Return the PDF that the browser prints, uncompressed, with nothing set by hand."""
    pdf = drawing.with_suffix(".pdf")
    options = ["--headless", "--no-sandbox", "--disable-gpu", "--no-pdf-header-footer"]
    profile = f"--user-data-dir={drawing.parent / 'profile'}"
    command = [browser, *options, profile, f"--print-to-pdf={pdf}", drawing.as_uri()]
    subprocess.run(command, check=True, capture_output=True, timeout=120)
    return uncompressed(pdf.read_bytes())


def uncompressed(pdf: bytes) -> bytes:
    """Return a PDF followed by what its compressed streams hold."""
    streams = re.findall(rb"stream\r?\n(.*?)endstream", pdf, re.DOTALL)
    return b"\n".join([pdf, *filter(None, map(_inflated, streams))])


def _inflated(stream: bytes) -> bytes:
    try:
        return zlib.decompressobj().decompress(stream)
    except zlib.error:
        return b""


def rectangles_mm(pdf: bytes) -> list[tuple[float, float]]:
    """Return the width and height on paper of every rectangle in the page's own code.

    Follows the only three things that matter: what scales (cm), what saves and restores it (q, Q),
    and what draws a rectangle (re).
    """
    number = rb"(-?[0-9.]+)"
    six, four = rb"\s+".join([number] * 6), rb"\s+".join([number] * 4)
    step = re.compile(rb"^(?:" + six + rb" cm|" + four + rb" re|(q)|(Q))\s*$", re.MULTILINE)
    scale, saved, found = (1.0, 1.0), [], []
    for match in step.finditer(pdf):
        a, _, _, d, _, _, _, _, width, height, save, restore = match.groups()
        if save:
            saved.append(scale)
        elif restore:
            scale = saved.pop() if saved else (1.0, 1.0)
        elif a:
            scale = (scale[0] * float(a), scale[1] * float(d))
        else:
            sides = float(width) * scale[0], float(height) * scale[1]
            found.append(tuple(abs(side) / POINTS_PER_MM for side in sides))
    return found


def has(rectangles: list[tuple[float, float]], width: float, height: float) -> bool:
    """Tell whether a rectangle of that size was printed, to 0.3 mm in a hundred."""
    return any(
        abs(w - width) <= 0.003 * width and abs(h - height) <= max(0.05, 0.003 * height)
        for w, h in rectangles
    )


@pytest.mark.parametrize(("paper", "page"), [("a4", (210, 297)), ("letter", (215.9, 279.4))])
def test_a_template_prints_true_to_size(browser, tmp_path, paper, page):
    """On one page of the right paper, the bar is 100 mm and the piece what it says, to 0.3 mm."""
    cylinder = ("--form", "cylinder", "--diameter", "2 3/4 in", "--wrap", "170")
    drawing = drawn(tmp_path / "a.svg", *cylinder, "--thickness", "1/8 in", "--paper", paper)
    pdf = printed(browser, drawing)
    boxes = re.findall(rb"/MediaBox \[0 0 ([0-9.]+) ([0-9.]+)\]", pdf)
    assert [float(side) / POINTS_PER_MM for side in boxes[0]] == pytest.approx(page, abs=0.3)
    assert len(boxes) == 1
    rectangles = rectangles_mm(pdf)
    assert has(rectangles, 100, 2)
    assert has(rectangles, 108.33476833285302, 100)


def test_a_template_larger_than_its_paper_keeps_its_size(browser, tmp_path):
    """A panel of 400 by 350 mm is printed whole and in true size, to be put on several sheets."""
    panel = ("--form", "flat_panel", "--width", "400", "--height", "350", "--thickness", "4")
    rectangles = rectangles_mm(printed(browser, drawn(tmp_path / "a.svg", *panel)))
    assert has(rectangles, 100, 2)
    assert has(rectangles, 400, 350)
