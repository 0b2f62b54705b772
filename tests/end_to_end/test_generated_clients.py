"""Clients that others generate from the document: they compile, and make the README's calls."""

import json
import os
import shutil
import subprocess
import sys
from pathlib import Path

import pytest

DOCUMENT = Path("openapi_examples/openapi.json").resolve()
TYPESCRIPT = Path(__file__).parent / "typescript"

CALLS = """
import io, json, sys, time
from formhold_client import Client
from formhold_client.api.doughs import reformulate
from formhold_client.api.shop import get_run, import_recipes, list_run_items, make_catalogue
from formhold_client.api.shop import start_run
from formhold_client.models import Brief, NewCatalogue, RunBrief
from formhold_client.types import File

client = Client(base_url=sys.argv[1], raise_on_unexpected_status=True, timeout=60)
lines = [{"text": "3 1/2 cups all-purpose flour"}, {"text": "1 cup (227 g) unsalted butter"}]
window = {"flour_to_fat": {"min": 2.1, "max": 2.4}}
brief = Brief.from_dict({"recipe": {"lines": lines}, "window": window})
outcome = reformulate.sync(client=client, body=brief)
moved = [line.after.measure for line in outcome.lines if line.moved]

made = make_catalogue.sync(client=client, body=NewCatalogue(title="Wickhollow"))
file = File(payload=io.BytesIO(b"recipe,line\\nreed,300 g flour\\nreed,150 g butter\\n"))
imported = import_recipes.sync(made.id, client=client, body=file)
asked = RunBrief.from_dict({"catalogue_id": made.id, "window": window})
run = start_run.sync(client=client, body=asked)
while run.finished_at is None:
    time.sleep(0.2)
    run = get_run.sync(run.id, client=client)
items = list_run_items.sync(run.id, client=client).items
refused = reformulate.sync(client=client, body=Brief.from_dict({"recipe": {"lines": lines}}))
print(json.dumps([outcome.outcome.value, moved, imported.created, len(items), refused.status]))
"""


def said_by(*command, cwd=None, seconds=120):
    done = subprocess.run(command, cwd=cwd, capture_output=True, text=True, timeout=seconds)
    assert done.returncode == 0, done.stdout + done.stderr
    return done.stdout


def check_calls(said):
    """Hold what a client printed against what README says of the request."""
    outcome, moved, created, items, *refused = json.loads(said)
    assert (outcome, created, items, refused) == ("reformulated", 1, 1, [422])
    assert moved
    assert all("cup" in measure or " g" in measure for measure in moved)


def test_a_generated_python_client_makes_the_calls(server, tmp_path):
    """openapi-python-client makes a package of the document; every file of it compiles."""
    tool = Path(sys.executable).with_name("openapi-python-client")
    config = tmp_path / "config.yaml"
    config.write_text(
        "content_type_overrides: {text/csv: application/octet-stream}\npost_hooks: []"
    )
    client = tmp_path / "formhold_client"
    asked = ["--path", str(DOCUMENT), "--output-path", str(client), "--config", str(config)]
    said_by(str(tool), "generate", *asked, "--meta", "none")
    said_by(sys.executable, "-m", "compileall", "-q", str(client))
    operations = sum(len(methods) for methods in json.loads(DOCUMENT.read_text())["paths"].values())
    made = [file for file in client.glob("api/*/*.py") if file.name != "__init__.py"]
    assert len(made) == operations
    check_calls(said_by(sys.executable, "-c", CALLS, server.url, cwd=tmp_path))


@pytest.fixture
def npm_packages(tmp_path):
    """A folder with the compiler and its like, as pinned."""
    required = os.environ.get("FORMHOLD_REQUIRE_NODE") == "1"
    if shutil.which("npm") is None:
        (pytest.fail if required else pytest.skip)("npm is not installed")
    folder = shutil.copytree(TYPESCRIPT, tmp_path / "typescript")
    quiet = ["--no-audit", "--no-fund", "--ignore-scripts", "--prefer-offline"]
    done = subprocess.run(["npm", "ci", *quiet], cwd=folder, capture_output=True, text=True)
    if done.returncode:
        (pytest.fail if required else pytest.skip)(f"npm brings no packages: {done.stderr[-500:]}")
    return folder


def test_a_generated_typescript_client_makes_the_calls(server, npm_packages):
    """openapi-typescript makes types of the document, strict TypeScript compiles against them."""
    tools = npm_packages / "node_modules" / ".bin"
    types = npm_packages / "formhold.ts"
    said_by(str(tools / "openapi-typescript"), str(DOCUMENT), "-o", str(types), cwd=npm_packages)
    said_by(str(tools / "tsc"), cwd=npm_packages)
    check_calls(said_by("node", "built/readme_calls.js", server.url, cwd=npm_packages))
