"""Recipe files: text or JSON."""

import json

import pytest

from service.command_line.recipe_files import UnreadableFile, read_recipe_file


def written(folder, content, name="recipe.txt"):
    path = folder / name
    path.write_bytes(content if isinstance(content, bytes) else content.encode())
    return str(path)


def test_a_text_file_has_one_ingredient_a_line(tmp_path):
    """Blank lines say nothing; a line that begins with a hash and a blank is the title."""
    file = read_recipe_file(written(tmp_path, "# Lantern dough\n\n2 cups flour\r\n  1 egg \n"))
    assert file.request == {
        "recipe": {"title": "Lantern dough", "lines": [{"text": "2 cups flour"}, {"text": "1 egg"}]}
    }
    assert [line.number for line in file.lines] == [3, 4]


@pytest.mark.parametrize("content", [{"lines": []}, {"recipe": {"lines": []}}])
def test_a_json_file_holds_a_recipe_or_a_request(tmp_path, content):
    """A recipe alone is wrapped; a whole request is taken as it is."""
    file = read_recipe_file(written(tmp_path, json.dumps(content), "brief.json"))
    assert file.request == {"recipe": {"lines": []}}


@pytest.mark.parametrize(
    ("content", "name", "says"),
    [
        (b"", "a.txt", "no ingredients"),
        (b"# Only a title", "a.txt", "no ingredients"),
        (b"# One\n# Two\n1 egg", "a.txt", "keep one"),
        (b"\xff\xfe1", "a.txt", "UTF-8"),
        (b"{", "a.json", "not plain JSON"),
        (b"[]", "a.json", "neither a recipe"),
        (b'{"lines": NaN}', "a.json", "not plain JSON"),
        (b'{"lines": [], "lines": []}', "a.json", "given twice"),
    ],
)
def test_what_is_no_recipe_is_refused_with_its_name(tmp_path, content, name, says):
    """An empty, broken or foreign file is named, with what is wrong."""
    with pytest.raises(UnreadableFile, match=says) as refused:
        read_recipe_file(written(tmp_path, content, name))
    assert name in str(refused.value)


@pytest.mark.parametrize("path", ["", "nowhere.txt", "/", "a\0b"])
def test_a_file_that_is_not_there_is_refused(path, tmp_path, monkeypatch):
    """A missing file, a folder and an impossible name are all said kindly."""
    monkeypatch.chdir(tmp_path)
    with pytest.raises(UnreadableFile, match="cannot be read"):
        read_recipe_file(path)
