"""Hostile requests against a real server: never a 500, always a complete problem document."""

import json
import urllib.error
import urllib.request

import httpx
import pytest

from tests.service.problem_checks import problem_in

POSTED = ["/v1/ratios", "/v1/reformulations", "/v1/what-if", "/v1/readings"]
JSON = {"Content-Type": "application/json"}


def recipe(quantity: str = "100", name: str = '"flour"') -> str:
    return f'{{"recipe": {{"lines": [{{"ingredient": {name}, "quantity": {quantity}, "unit": "g"}}]'


BODIES: dict[str, tuple[bytes, int]] = {
    "nothing": (b"", 400),
    "NaN": (b"NaN", 400),
    "Infinity": (recipe("Infinity").encode() + b"}}", 400),
    "-Infinity": (recipe("-Infinity").encode() + b"}}", 400),
    "1e999": (recipe("1e999").encode() + b"}}", 422),
    "a whole number of 5,000 digits": (recipe("9" * 5000).encode() + b"}}", 422),
    "a boolean for a number": (recipe("true").encode() + b"}}", 422),
    "depth 33": (b'{"a":' * 33 + b"1" + b"}" * 33, 400),
    "depth 900": (b"[" * 900 + b"]" * 900, 400),
    "depth 100,000": (b"[" * 100_000 + b"]" * 100_000, 400),
    "depth never closed": (b'{"a":[' * 100_000, 400),
    "duplicate members": (b'{"recipe": 1, "recipe": 2}', 422),
    "__proto__": (b'{"__proto__": {"a": 1}}', 422),
    "a lone surrogate": (recipe(name='"\\ud83d"').encode() + b"}}", 422),
    "a NUL": (recipe(name='"\\u0000"').encode() + b"}}", 422),
    "a raw NUL": (recipe(name='"\0"').encode() + b"}}", 400),
    "a direction override": (recipe(name='"\\u202eruolf"').encode() + b"}}", 422),
    "UTF-16": (json.dumps({"recipe": {}}).encode("utf-16"), 400),
    "broken UTF-8": (b'{"recipe": "\xc3\x28"}', 400),
    "HTML": (recipe(name='"</script><script>alert(1)</script>"').encode() + b"}}", 422),
    "SQL": (recipe(name='"\'; DROP TABLE recipes; --"').encode() + b"}}", 422),
    "an array": (b"[]", 422),
    "a string": (b'"recipe"', 422),
    "null": (b"null", 422),
    "two values": (b"{} {}", 400),
    "unknown members": (b'{"%s": 1}' % (b"x" * 100_000), 422),
    "a line of 1 MB": (b'{"recipe": {"lines": [{"text": "%s"}]}}' % (b"1 " * 480_000), 422),
    "100,000 lines": (b'{"recipe": {"lines": [%s{}]}}' % (b"{}," * 100_000), 422),
}


@pytest.fixture(scope="module")
def http(server):
    with httpx.Client(base_url=server.url, trust_env=False, timeout=60) as client:
        yield client


@pytest.mark.parametrize("path", POSTED)
@pytest.mark.parametrize("name", BODIES)
def test_a_hostile_body_is_a_problem_not_a_failure(http, path, name):
    """Each is refused with the right status, on every address that takes a body."""
    body, status = BODIES[name]
    problem_in(http.post(path, content=body, headers=JSON), status)


def test_a_thousand_brackets_are_set_aside(http):
    """A line that nobody can read costs the recipe nothing."""
    body = b'{"recipe": {"lines": [{"text": "2 cups flour"}, {"text": "%s"}]}}' % (b"(" * 999)
    answer = http.post("/v1/ratios", content=body, headers=JSON)
    assert answer.status_code == 200
    assert answer.json()["lines"][1]["aside"]["code"] == "no_amount"


def salted(number: str) -> str:
    line = f'{{"ingredient": "salt", "quantity": {number}, "unit": "g"}}'
    return f'{{"recipe": {{"lines": [{{"text": "2 cups flour"}}, {line}]}}}}'


@pytest.mark.parametrize("number", ["0", "-0", "-0.0", "1e-400"])
def test_nothing_weighs_nothing(http, number):
    """Zero, minus zero and what is read as zero are quantities like any other."""
    answer = http.post("/v1/ratios", content=salted(number), headers=JSON)
    assert answer.status_code == 200
    assert answer.json()["lines"][1]["grams"] == 0


@pytest.mark.parametrize("number", ["5e-324", "1e-300", "1e-7"])
def test_less_than_any_scale_shows_is_refused(http, number):
    """A quantity that no scale could show is a slip of the pen, and is said to be one."""
    problem = problem_in(http.post("/v1/ratios", content=salted(number), headers=JSON), 422)
    assert problem["errors"][0]["pointer"] == "/recipe/lines/1/quantity"


@pytest.mark.parametrize("number", ["5e-324", "1e-300"])
def test_the_smallest_amounts_can_be_asked_to_change(http, number):
    """A brief of vanishing amounts is answered or refused, never a failure."""
    lines = ", ".join(
        f'{{"ingredient": "{name}", "quantity": {number}, "unit": "g"}}'
        for name in ("flour", "butter")
    )
    body = f'{{"recipe": {{"lines": [{lines}]}}, "window": {{"flour_to_fat": {{"min": 2}}}}}}'
    answer = http.post("/v1/reformulations", content=body, headers=JSON)
    assert answer.status_code in {200, 422}


def test_twenty_megabytes_are_refused_at_once(http):
    """A body far too large is 413, whether it says so or not."""
    answer = http.post("/v1/ratios", content=b" " * 20_000_000, headers=JSON)
    problem_in(answer, 413)


@pytest.mark.parametrize(
    ("path", "kind", "status"),
    [
        ("/v1/reformulations", "application/json", 413),
        ("/v1/recipes", "application/json", 413),
        ("/v1/catalogues/nowhere/import", "text/csv", 404),
        ("/v1/catalogues/nowhere/import", "text/plain", 415),
    ],
)
def test_who_sends_all_before_listening_hears_the_answer(server, path, kind, status):
    """Python's own client sends twenty megabytes, asks to close, and only then reads: the refusal
    is there for it, not a broken connection."""
    long = urllib.request.Request(
        server.url + path, data=b" " * 20_000_000, headers={"Content-Type": kind}
    )
    with pytest.raises(urllib.error.HTTPError) as refused:
        urllib.request.urlopen(long, timeout=30)
    with refused.value as answer:
        assert answer.code == status
        assert json.load(answer)["status"] == status


def test_twenty_megabytes_in_pieces_are_refused(http):
    """Without a length the pieces are counted."""
    pieces = (b" " * 100_000 for _ in range(200))
    try:
        answer = http.post("/v1/ratios", content=pieces, headers=JSON)
    except httpx.TransportError:
        return  # the server may hang up on a body that never ends
    problem_in(answer, 413)


@pytest.mark.parametrize("coding", ["gzip", "br", "zstd"])
def test_coded_bodies_are_refused(http, coding):
    """A compressed body is 415."""
    headers = {**JSON, "Content-Encoding": coding}
    problem_in(http.post("/v1/ratios", content=b"\x1f\x8b", headers=headers), 415)


@pytest.mark.parametrize(
    "request_bytes",
    [
        b"nonsense\r\n\r\n",
        b"POST /v1/ratios HTTP/1.1\r\nHost: x\r\nContent-Length: abc\r\n\r\n{}",
        b"POST /v1/ratios HTTP/1.1\r\nHost: x\r\nContent-Length: -5\r\n\r\n{}",
        b"POST /v1/ratios HTTP/1.1\r\nHost: x\r\nContent-Length: 2\r\nContent-Length: 3\r\n\r\n{}",
        b"GET / HTTP/1.1\r\nHost: x\r\nX-Long: " + b"x" * 300_000 + b"\r\n\r\n",
        b"GET /\x00 HTTP/1.1\r\nHost: x\r\n\r\n",
        b"GET / HTTP/1.1\r\n\r\n",
    ],
    ids=["nonsense", "wordy length", "negative length", "two lengths", "300 KB", "NUL", "no host"],
)
def test_what_is_no_http_is_a_problem_too(server, request_bytes):
    """Bytes that are no HTTP are 400 with a problem document, and the connection ends."""
    problem = problem_in(server.say(request_bytes), 400)
    assert problem["type"] == "/problems/malformed-http"


def test_the_server_does_not_say_what_it_is_made_of(http):
    """No header names the software."""
    assert "server" not in http.get("/livez").headers


def test_nothing_failed(http, server):
    """After all of that the service is alive and ready."""
    assert http.get("/livez").status_code == 200
    assert http.get("/readyz").status_code == 200


LANTERN_DOUGH = [
    {"ingredient": "all-purpose flour", "quantity": 437.5, "unit": "g"},
    {"ingredient": "unsalted butter", "quantity": 227, "unit": "g"},
    {"ingredient": "baking soda", "quantity": 6.9, "unit": "g"},
]


@pytest.mark.parametrize("measures", ["us", "metric", "scale"])
@pytest.mark.parametrize("tsp", [1e4, 1e5, 2e5, 1e6])
def test_a_mountain_of_powder_is_answered_in_time(server, tsp, measures):
    """However much is asked about, an answer comes within the deadline and half a second."""
    recipe = {
        "lines": [*LANTERN_DOUGH, {"ingredient": "baking powder", "quantity": tsp, "unit": "tsp"}]
    }
    window = {"flour_to_fat": {"min": 2.4}, "soda_equivalent_percent": {"max": 0.5}}
    brief = {"recipe": recipe, "window": window, "measures": measures}
    with httpx.Client(base_url=server.url, trust_env=False, timeout=10.5) as client:
        answer = client.post("/v1/reformulations", json=brief)
    assert answer.status_code == (422 if tsp == 1e6 else 200)


@pytest.mark.parametrize("bound", [5e-324, 1e-300, 1e-7])
def test_a_bound_of_next_to_nothing_is_answered(http, bound):
    """The tightness of a bound is told for any bound that can be written."""
    brief = {
        "recipe": {"lines": LANTERN_DOUGH},
        "window": {"flour_to_fat": {"min": 2}, "moisture_percent": {"min": bound}},
        "limits": {"liquid_per_flour": {"max": 1}, "wet_per_flour": {"min": bound}},
    }
    assert http.post("/v1/reformulations", json=brief).json()["outcome"] == "reformulated"


@pytest.mark.parametrize("place", ["title", "part", "custom"])
@pytest.mark.parametrize("character", ["\x00", "\x07", "\x1b", "\x7f", "\x85"])
def test_control_characters_in_names_are_refused(http, place, character):
    """What nobody can read in a name is a fault of the request, told with its place."""
    name = f"village{character}flour"
    recipe = {"lines": [{"text": "2 cups flour"}]}
    if place == "custom":
        shares = {"water_percent": 13, "fat_percent": 1, "sugars_percent": 0}
        recipe["custom_ingredients"] = [{"name": name, "role": "flour", **shares}]
    else:
        recipe[place] = name
    problem = problem_in(http.post("/v1/ratios", json={"recipe": recipe}), 422)
    assert problem["errors"][0]["pointer"].startswith("/recipe/")
    assert "control character" in problem["errors"][0]["message"]
