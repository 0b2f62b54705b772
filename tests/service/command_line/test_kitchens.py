"""The kitchen commands: trays told on the command line, in and out as files, and what comes of
them."""

import json
from argparse import Namespace

import pytest

from service.command_line.commands import main
from service.command_line.own_service import service_of

GINGER = """\
# Lantern ginger dough
3 1/2 cups flour
1 cup butter
1 egg
3/4 cup brown sugar
1/3 cup molasses
1 1/2 tsp baking soda
"""
DRUM = ["--form", "cylinder", "--diameter", "70", "--wrap", "120"]


@pytest.fixture(scope="module")
def url(tmp_path_factory):
    database = f"sqlite:///{tmp_path_factory.mktemp('kitchens')}/formhold.sqlite3"
    with service_of(Namespace(url=None, database=database)) as address:
        yield address


@pytest.fixture
def recipe(tmp_path):
    path = tmp_path / "ginger.txt"
    path.write_text(GINGER)
    return str(path)


@pytest.fixture
def attend(url, capsys):
    """Run a kitchen command; return its exit code, what it printed, and what it complained of."""

    def run(*arguments):
        code = main(["kitchen", *arguments, "--url", url])
        said = capsys.readouterr()
        return code, said.out, said.err

    return run


def test_a_tray_is_told_and_the_next_one_asked_for(attend, recipe):
    """A kitchen goes by its name. A tray that cracked is answered by what it taught, the next bake
    by a dough and its sheets; both as JSON are what the service answers."""
    assert attend("add", "The stone oven")[0] == 0
    tray = ["--tray", "5=3,2s,3", "--flat-round", "60:63", "--handling", "1", "--chilled"]
    code, said, _ = attend("log", "The stone oven", recipe, *DRUM, *tray, "--note", "rainy")
    assert code == 0
    assert "3 of 3 pieces showed a crack" in said
    assert "proves next to nothing" in said
    asked = ["next-bake", "The stone oven", recipe, *DRUM, "--thickness", "5"]
    code, said, _ = attend(*asked)
    assert code == 0
    assert said.startswith("Bake this next: ")
    assert "pieces rolled to" in said
    assert "One good piece proves little" in " ".join(said.split())
    told = json.loads(attend(*asked, "--json")[1])
    assert said.splitlines()[0] == told["words"]
    assert f"{told['holds_percent']:.0f} %" in said


def test_what_was_typed_is_what_is_kept(attend, recipe, tmp_path):
    """Every option of a tray stands in the trial that an export gives back."""
    attend("add", "Kept as typed")
    tray = ["--tray", "3.5=0,1", "--tray", "3/16 in=2s", "--flat-round", "60:62.5:3.5"]
    more = ["--handling", "1", "--texture", "2", "--note", "rainy", "--chilled"]
    attend("log", "Kept as typed", recipe, *DRUM, *tray, *more)
    file = tmp_path / "trials.ndjson"
    assert attend("export", "Kept as typed", str(file))[0] == 0
    [kept] = [json.loads(line)["trial"] for line in file.read_text().splitlines()]
    assert kept["recipe"]["title"] == "Lantern ginger dough"
    assert kept["form"] == {"kind": "cylinder", "diameter_mm": 70, "wrap_degrees": 120}
    thin, thick = kept["sheets"]
    assert thin["thickness_mm"] == 3.5
    assert [piece["crack_grade"] for piece in thin["pieces"]] == [0, 1]
    assert thick["thickness_mm"] == pytest.approx(3 / 16 * 25.4)
    assert thick["pieces"] == [{"crack_grade": 2, "slipped": True}]
    assert kept["flat_round"] == {"before_mm": 60, "after_mm": 62.5, "thickness_mm": 3.5}
    told = {name: kept[name] for name in ("handling", "texture", "note", "chilled")}
    assert told == {"handling": 1, "texture": 2, "note": "rainy", "chilled": True}


@pytest.mark.parametrize("ending", ["csv", "ndjson"])
def test_trials_go_out_and_in_as_files(attend, recipe, tmp_path, ending):
    """What was exported changes nothing in its own kitchen, is refused by another in words, and is
    taken by it once it no longer names the first."""
    here, there = f"Here {ending}", f"There {ending}"
    attend("add", here)
    attend("add", there)
    attend("log", here, recipe, *DRUM, "--tray", "4=0,1", "--flat-round", "60:62")
    file = tmp_path / f"trials.{ending}"
    attend("export", here, str(file))
    assert "1 there already, 0 left out" in attend("import", here, str(file))[1]
    code, said, _ = attend("import", there, str(file))
    assert code == 1
    assert "was baked in another kitchen" in said
    kitchen = next(
        line.split()[0] for line in attend("list")[1].splitlines() if line.endswith(here)
    )
    file.write_text(file.read_text().replace(f'"{kitchen}"', "null").replace(kitchen, ""))
    code, said, _ = attend("import", there, str(file))
    assert code == 0
    assert said.startswith("1 new")


def test_lessons_are_words_and_a_picture(attend, recipe, tmp_path):
    """Each tray, how often the chances came true, and the drawing in a file."""
    attend("add", "Lessons")
    attend("log", "Lessons", recipe, *DRUM, "--tray", "5=3,3")
    picture = tmp_path / "lessons.svg"
    code, said, _ = attend("lessons", "Lessons", "--svg", str(picture))
    assert code == 0
    assert "2 of 2 pieces showed a crack" in " ".join(said.split())
    assert "foretold" in said
    assert picture.read_text().startswith("<svg")


def test_what_is_wrong_is_said_with_its_option(attend, recipe, tmp_path, capsys):
    """An unknown kitchen, impossible grades and rounds, a file that is not there: words and exit
    code 2, and nothing is kept."""
    attend("add", "Wrong")
    code, _, complaint = attend("lessons", "Nobody's")
    assert code == 2
    assert "no kitchen of yours" in complaint
    wrong = ["--tray", "5=3,9", "--flat-round", "60:900", "--texture", "7"]
    code, _, complaint = attend("log", "Wrong", recipe, *DRUM, *wrong)
    assert code == 2
    for option in ("--tray", "--flat-round", "--texture"):
        assert option in complaint
    code, _, complaint = attend("import", "Wrong", str(tmp_path / "missing.csv"))
    assert code == 2
    assert "missing.csv cannot be read" in complaint
    with pytest.raises(SystemExit):
        attend("log", "Wrong", recipe, *DRUM, "--tray", "5:3,x")
    assert "write THICKNESS=GRADES" in capsys.readouterr().err
    assert "Nothing was baked" in attend("lessons", "Wrong")[1]


def test_kitchens_of_one_name_go_by_their_identity(attend):
    """Two of one name: the command says which identities there are."""
    attend("add", "Twins")
    identity = attend("add", "Twins")[1].split()[0]
    code, _, complaint = attend("lessons", "Twins")
    assert code == 2
    assert identity in complaint
    assert attend("lessons", identity)[0] == 0


def test_without_an_address_a_service_of_its_own_is_asked(tmp_path, capsys):
    """On a database of its own a kitchen outlasts the command; an address where nobody answers
    ends with 3."""
    database = ["--database", f"sqlite:///{tmp_path}/own.sqlite3"]
    assert main(["kitchen", "add", "At home", *database]) == 0
    capsys.readouterr()
    assert main(["kitchen", "list", *database]) == 0
    assert "At home" in capsys.readouterr().out
    assert main(["kitchen", "list", "--url", "http://127.0.0.1:9"]) == 3
    assert "No service answers" in capsys.readouterr().err
