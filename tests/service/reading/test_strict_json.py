"""Bytes into a value: what is not JSON, what is odd, and every fault at once."""

import pytest

from models.brief import RecipeToWeigh
from models.errors import BadInput
from service.problems import Refused
from service.reading.strict_json import MAX_DEPTH, read_json, understand

FLOUR = '{"ingredient": "all-purpose flour", "quantity": %s, "unit": "g"}'


def weighed(line: str) -> str:
    """Return a request for a recipe of 2 cups of flour and `line`."""
    return f'{{"recipe": {{"lines": [{{"text": "2 cups flour"}}, {line}]}}}}'


def faults_in(text: str | bytes) -> dict[str, str]:
    body = text if isinstance(text, bytes) else text.encode()
    with pytest.raises(BadInput) as refused:
        understand(body, RecipeToWeigh)
    return {fault.pointer: fault.message for fault in refused.value.faults}


def kind_of(body: bytes) -> str:
    with pytest.raises(Refused) as refused:
        read_json(body)
    return refused.value.problem.type


def test_a_byte_order_mark_is_passed_over():
    """Text that begins with a byte order mark means the same as without it."""
    body = weighed(FLOUR % 100).encode()
    assert understand(b"\xef\xbb\xbf" + body, RecipeToWeigh) == understand(body, RecipeToWeigh)


@pytest.mark.parametrize(
    "body",
    [b"", b" ", b"{", b"nonsense", b'{"a": 1} {}', b"\xff\xfe{\x00}\x00", '{"a"'.encode("utf-16")],
)
def test_what_is_not_json_is_refused(body):
    """Broken text, two values and UTF-16 are refused as no JSON."""
    assert kind_of(body) == "/problems/not-json"


@pytest.mark.parametrize("word", ["NaN", "Infinity", "-Infinity"])
def test_the_constants_of_other_languages_are_not_json(word):
    """NaN and the infinities are not JSON, although many libraries write them."""
    assert kind_of(f'{{"recipe": {word}}}'.encode()) == "/problems/not-json"


@pytest.mark.parametrize("depth", [MAX_DEPTH + 1, 200, 900, 100_000])
def test_deep_nesting_is_refused(depth):
    """More than 32 levels are refused, however many more."""
    assert kind_of(b"[" * depth + b"]" * depth) == "/problems/nested-too-deep"


def test_nesting_may_be_32_deep():
    """32 levels are read."""
    content, odd = read_json(b"[" * MAX_DEPTH + b"]" * MAX_DEPTH)
    assert odd == []
    assert content != []


def test_more_values_than_any_request_has_are_one_fault():
    """A body of countless values is refused as a whole, without listing a fault for each."""
    faults = faults_in('{"recipe": {"lines": [' + "{}," * 100_000 + "{}]}}")
    assert list(faults) == [""]
    assert "10,000 values" in faults[""]


def test_a_member_given_twice_is_a_fault_where_it_stands():
    """A duplicate member is named by its pointer, at any depth."""
    faults = faults_in(weighed('{"text": "1 egg", "text": "2 cups flour"}'))
    assert faults == {"/recipe/lines/1/text": "is given twice; give it once"}


@pytest.mark.parametrize("number", ["1e999", "-1e999", "9" * 5000, "-" + "9" * 309])
def test_a_number_beyond_every_float_is_a_fault(number):
    """1e999 and whole numbers of thousands of digits are named, and nothing breaks."""
    assert list(faults_in(weighed(FLOUR % number))) == ["/recipe/lines/1/quantity"]


@pytest.mark.parametrize("number", ["1" + "0" * 300, "1e300", "5e-324"])
def test_a_number_that_no_kitchen_weighs_is_a_fault(number):
    """A number that is finite but absurd breaks the bound of its own member."""
    assert list(faults_in(weighed(FLOUR % number))) == ["/recipe/lines/1/quantity"]


@pytest.mark.parametrize("number", ["1e-400", "1e-5", "-0", "-0.0", "0", "1E2"])
def test_small_and_zero_numbers_are_numbers(number):
    """A tiny amount, what rounds to zero, and minus zero are read without complaint."""
    assert understand(weighed(FLOUR % number).encode(), RecipeToWeigh).recipe.lines


@pytest.mark.parametrize("value", ["true", "false", '"3"', "null", "[]", "{}"])
def test_only_a_number_is_a_number(value):
    """Booleans, digits in quotes and the rest are no quantities."""
    faults = faults_in(weighed(FLOUR % value))
    assert faults == {"/recipe/lines/1/quantity": "must be a number"}


def test_half_a_surrogate_pair_is_a_fault_in_value_and_name():
    """A lone surrogate is found in a text and in a member's name, and can be shown safely."""
    faults = faults_in(
        '{"recipe": {"title": "\\ud800", "\\udfff": 1, "lines": [{"text": "1 egg"}]}}'
    )
    assert "half of a surrogate pair" in faults["/recipe/title"]
    assert "half of a surrogate pair" in faults["/recipe/?"]


def test_a_nul_and_a_direction_override_are_characters():
    """NUL and right-to-left marks are characters; such a name is merely unknown."""
    faults = faults_in(
        weighed('{"ingredient": "fl\\u0000our \\u202e", "quantity": 1, "unit": "g"}')
    )
    assert list(faults) == ["/recipe/lines/1/ingredient"]


def test_all_faults_come_together():
    """Oddities of the JSON and faults of the value are reported in one go."""
    faults = faults_in(
        '{"recipe": {"lines": [{"ingredient": "flour", "quantity": 1e999, "unit": "g"}, '
        '{"ingredient": "sand", "quantity": 1, "unit": "g"}, {"text": "1 egg"}], '
        '"title": "\\ud800"}, '
        '"powder_strength": 9, "powder_strength": 7, "__proto__": {}}'
    )
    assert set(faults) == {
        "/recipe/lines/0/quantity",
        "/recipe/lines/1/ingredient",
        "/recipe/title",
        "/powder_strength",
        "/__proto__",
    }
