"""What is installed is what is run here."""

import subprocess
import tomllib
from pathlib import Path

import pytest

ROOT = Path(__file__).parents[1]
PACKAGES = ("models", "solver", "service", "openapi_examples")
FOR_READERS = {".md"}


def kept_files():
    """Return the files of the packages that are no code, as the repository keeps them."""
    listed = subprocess.run(
        ["git", "ls-files", *PACKAGES], cwd=ROOT, capture_output=True, text=True, check=False
    )
    if listed.returncode:
        pytest.skip("not in a repository")
    files = [Path(name) for name in listed.stdout.splitlines()]
    return [file for file in files if file.suffix != ".py" and file.suffix not in FOR_READERS]


def test_every_table_and_template_is_installed():
    """A file that the code reads goes into the package with it."""
    named = tomllib.loads((ROOT / "pyproject.toml").read_text())["tool"]["setuptools"]
    globs = [(package, glob) for package, all_ in named["package-data"].items() for glob in all_]
    packed = {
        found.relative_to(ROOT) for package, glob in globs for found in (ROOT / package).glob(glob)
    }
    kept = kept_files()
    assert len(kept) > 20
    assert set(kept) <= packed


def test_the_image_is_of_the_same_packages():
    """What deploy/ installs are the very versions that everything is tested with."""
    tested = pinned(ROOT / "requirements.lock")
    served = pinned(ROOT / "deploy" / "requirements.lock")
    assert served <= tested
    declared = tomllib.loads((ROOT / "pyproject.toml").read_text())["project"]["dependencies"]
    wanted = {line.split(">")[0].split("[")[0] for line in declared}
    assert wanted <= {line.split("==")[0] for line in served}


def pinned(lock):
    lines = (line.split(";")[0].strip(" \\") for line in lock.read_text().splitlines())
    return {line.split("[")[0] if "==" not in line else line for line in lines if "==" in line}
