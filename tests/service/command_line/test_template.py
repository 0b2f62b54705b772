"""The template command: a table, a file to print, and the very answer of the service."""

import json
from xml.etree import ElementTree

import pytest

from models.form import KINDS
from service.command_line.commands import main
from service.command_line.template import OPTIONS
from tests.models.test_template import FORMS

CYLINDER = ["--form", "cylinder", "--diameter", "2 3/4 in", "--wrap", "170"]
COMMAND = ["template", *CYLINDER, "--thickness", "1/8 in", "--pieces", "12"]


def test_a_template_is_a_table(capsys):
    """What to cut to, its area, its dough and the dough of all, with notes and cautions."""
    assert main(COMMAND) == 0
    out, err = capsys.readouterr()
    assert err == ""
    out = out.replace("\u00a0", " ")
    assert "round the form  108.3 mm (4 1/4 in)" in out
    assert "a piece takes 43.3 g" in out
    assert "12 pieces and 15 % for trimmings: 598 g." in out
    assert {"Notes", "Cautions"} <= set(out.splitlines())


def test_json_is_what_the_service_answers_to_the_byte(capsys, client):
    """--json prints the very bytes of the HTTP answer, and nothing else."""
    assert main([*COMMAND, "--paper", "letter", "--json"]) == 0
    form = {"kind": "cylinder", "diameter_mm": "2 3/4 in", "wrap_degrees": 170}
    body = {
        "target": {"form": form, "thickness_mm": "1/8 in"},
        "pieces": 12,
        "paper": "letter",
    }
    theirs = client.post("/v1/templates", json=body).content
    assert capsys.readouterr().out.encode() == theirs + b"\n"


def test_the_drawing_is_written_to_a_file(tmp_path, capsys):
    """--svg writes the page that the answer holds."""
    path = tmp_path / "lantern.svg"
    assert main([*COMMAND, "--svg", str(path), "--json"]) == 0
    written = path.read_text(encoding="utf-8")
    assert written == json.loads(capsys.readouterr().out)["svg"]
    assert ElementTree.fromstring(written).get("height") == "297mm"


def test_a_file_that_cannot_be_written_ends_with_2(tmp_path, capsys):
    """Where the drawing cannot go, that is said, and nothing is printed as if it had."""
    assert main([*COMMAND, "--svg", str(tmp_path / "none" / "x.svg")]) == 2
    out, err = capsys.readouterr()
    assert out == ""
    assert "cannot be written" in err


@pytest.mark.parametrize("kind", KINDS)
def test_every_form_can_be_stated(kind, capsys):
    """Each dimension of each form has its option."""
    typed = [part for name, v in FORMS[kind].items() for part in (f"--{OPTIONS[name]}", str(v))]
    assert main(["template", "--form", kind, *typed, "--thickness", "3", "--json"]) == 0
    form = json.loads(capsys.readouterr().out)["target"]["form"]
    assert form.items() >= {"kind": kind, **FORMS[kind]}.items()


def test_faults_name_the_option(capsys):
    """What must be mended is named as it was typed."""
    typed = ["template", "--form", "cone", "--thickness", "90", "--wrap", "400", "--pieces", "0"]
    assert main(typed) == 2
    err = capsys.readouterr().err
    for option in ("--base-diameter", "--top-diameter", "--height", "--wrap", "--thickness"):
        assert f"  {option}: " in err
    assert "--pieces: must be between 1 and 10000 pieces" in err


def test_a_dimension_of_another_form_is_refused(capsys):
    """A cylinder has no cap."""
    assert main([*COMMAND, "--cap", "40"]) == 2
    assert "--cap: is not known here" in capsys.readouterr().err
