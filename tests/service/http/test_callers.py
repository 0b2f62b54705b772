"""Callers: nobody sees what another stored, and nobody is let in by accident."""

import re
from dataclasses import replace

import pytest

from service.app import create_app
from service.http.callers import issue_key, new_key
from service.store.callers import revoke_key
from tests.service.conftest import Caller, RunningApp
from tests.service.problem_checks import problem_in


def tray(recipe):
    """One good piece on a drum."""
    form = {"kind": "cylinder", "diameter_mm": 80, "wrap_degrees": 150}
    sheet = {"thickness_mm": 4, "pieces": [{"crack_grade": 0}]}
    return {"recipe": recipe, "form": form, "sheets": [sheet]}


@pytest.fixture
def stored(baker, recipe):
    """One of everything that a caller can store, by what its name is called in an address."""
    trial = tray(recipe)
    catalogue = baker.make("/v1/catalogues", {"title": "Panels"})["id"]
    kitchen = baker.make("/v1/kitchens", {"name": "The stone oven"})["id"]
    kept = {"recipe": recipe, "catalogue_id": catalogue}
    return {
        "catalogue_id": catalogue,
        "kitchen_id": kitchen,
        "recipe_id": baker.make("/v1/recipes", kept)["id"],
        "trial_id": baker.make(f"/v1/kitchens/{kitchen}/trials", trial)["id"],
        "run_id": baker.post(
            "/v1/runs", json={"catalogue_id": catalogue, "window": {"flour_to_fat": {"min": 1}}}
        ).json()["id"],
    }


def operations_on_what_is_stored(document):
    """Yield method, address and description of all that names something of a caller's."""
    for path, methods in document["paths"].items():
        for method, operation in methods.items():
            if "{" in path and "shop" in operation["tags"]:
                yield method.upper(), path, operation


def body_for(path, operation, recipe):
    """Return a body that an operation would take, if the thing it names were there."""
    kinds = operation.get("requestBody", {}).get("content", {})
    if not kinds:
        return {}
    if "application/json" not in kinds:
        return {"content": "recipe,line\na,2 cups flour\n", "headers": {"Content-Type": "text/csv"}}
    if path.endswith("/next-bake"):
        told = tray(recipe)
        return {"json": {"recipe": recipe, "target": {"form": told["form"], "thickness_mm": 4}}}
    if "/trials" in path:
        return {"json": tray(recipe)}
    if path.endswith("/apply"):
        return {"json": {}}
    if path.endswith("/notice"):
        return {"json": {"url": "https://shop.example/told", "secret": "s" * 32}}
    named = {
        "catalogue": {"title": "Mine"},
        "run_id": {"title": "Mine"},
        "kitchen": {"name": "Mine"},
    }
    bodies = [{"json": body} for what, body in named.items() if what in path]
    return bodies[0] if bodies else {"json": {"recipe": recipe}}


def test_what_another_stored_is_as_if_it_were_not_there(
    keyed_service, stranger, baker, stored, recipe
):
    """Every method of every address that names something of another caller's is 404, told in the
    same words as a name that never was; and nothing has changed."""
    document = keyed_service.get("/openapi.json").json()
    nowhere = dict.fromkeys(stored, "nowhere")
    tried = set()
    for method, path, operation in operations_on_what_is_stored(document):
        body = body_for(path, operation, recipe)
        headers = {"If-Match": "*", **body.pop("headers", {})}
        theirs = stranger.ask(method, path.format(**stored), headers=headers, **body)
        never = stranger.ask(method, path.format(**nowhere), headers=headers, **body)
        assert problem_in(theirs, 404) == problem_in(never, 404)
        tried.add(path.split("/")[2])
    assert tried == {"recipes", "catalogues", "kitchens", "runs"}
    assert baker.get(f"/v1/recipes/{stored['recipe_id']}").json()["version"] == 1
    for resource in tried:
        assert len(baker.pages(f"/v1/{resource}", resource)) == 1


def test_lists_hold_the_callers_own_alone(baker, stranger, stored):
    """A stranger's lists are empty, and a list of another's catalogue is 404."""
    for resource in ("recipes", "catalogues", "kitchens", "runs"):
        assert stranger.pages(f"/v1/{resource}", resource) == []
        assert len(baker.pages(f"/v1/{resource}", resource)) == 1
    problem_in(stranger.get(f"/v1/recipes?catalogue={stored['catalogue_id']}"), 404)


def shop_operations(document):
    return [
        (method.upper(), re.sub(r"\{\w+\}", "nowhere", path))
        for path, methods in document["paths"].items()
        for method, operation in methods.items()
        if "shop" in operation["tags"]
    ]


def test_storing_needs_a_key(keyed_service):
    """Where there is no single user, every address of the shop is 401 without a key, and says what
    kind of key it wants."""
    operations = shop_operations(keyed_service.get("/openapi.json").json())
    assert len(operations) > 15
    for method, address in operations:
        answer = keyed_service.ask(method, address)
        assert problem_in(answer, 401)["type"] == "/problems/no-key"
        assert answer.headers["www-authenticate"] == 'Bearer realm="formhold"'


def test_reckoning_needs_no_key(keyed_service, lantern):
    """The calculator stays open to everyone."""
    for path, body in [("ratios", {"recipe": lantern["recipe"]}), ("reformulations", lantern)]:
        assert keyed_service.post(f"/v1/{path}", json=body).status_code == 200


@pytest.mark.parametrize("sent", ["Basic {key}", "{key}", "Bearer", "Bearer {other}", "Bearer x"])
def test_a_wrong_key_opens_nothing(baker, sent):
    """Another scheme, no scheme, no key, a key that nobody has: 401."""
    header = {"Authorization": sent.format(key=baker.key, other=new_key().text)}
    answer = baker.running.get("/v1/recipes", headers=header)
    problem_in(answer, 401)
    assert "invalid_token" in answer.headers["www-authenticate"]


def test_a_key_with_one_character_changed_opens_nothing(baker):
    """The whole of a key counts, not the part it is found by."""
    changed = baker.key[:-1] + ("a" if baker.key[-1] != "a" else "b")
    answer = baker.running.get("/v1/recipes", headers={"Authorization": f"Bearer {changed}"})
    problem_in(answer, 401)


def test_a_revoked_key_opens_nothing_and_the_next_one_opens_everything(keyed_service, recipe):
    """A caller with a new key has what it stored with the old one."""
    database = keyed_service.app.state.wiring.database
    caller = Caller(keyed_service, "the one who lost a key")
    made = caller.make("/v1/recipes", {"recipe": recipe})["id"]
    with database.writing() as connection:
        revoke_key(connection, caller.key.split("_")[1])
    problem_in(caller.get(f"/v1/recipes/{made}"), 401)
    assert Caller(keyed_service, "the one who lost a key").get(f"/v1/recipes/{made}").is_success


def test_a_key_is_long_and_nothing_of_it_is_kept():
    """A key has 256 bits at random behind its prefix; what is kept is a digest."""
    key, other = new_key(), new_key()
    assert re.fullmatch(r"fh_[a-z2-7]{8}_[a-z2-7]{52}", key.text)
    assert len(key.digest) == 32
    assert key.text.split("_")[2].encode() not in key.digest
    assert key.text != other.text


def test_on_the_loopback_one_person_needs_no_key(client, recipe):
    """By default the service is for whoever works on the machine."""
    made = client.post("/v1/recipes", json={"recipe": recipe})
    assert made.status_code == 201
    assert client.get(made.headers["location"]).content == made.content


@pytest.mark.parametrize(
    "headers",
    [
        {"Host": "formhold.example"},
        {"Host": "localhost.example"},
        {"X-Forwarded-For": "127.0.0.1"},
        {"Forwarded": "for=127.0.0.1"},
        {"Via": "1.1 proxy"},
    ],
)
def test_what_comes_from_elsewhere_needs_a_key(client, headers):
    """A name that was pointed at this machine and a proxy are not the person who works here."""
    problem_in(client.get("/v1/recipes", headers=headers), 401)


@pytest.mark.parametrize("origin", ["https://elsewhere.example", "null", "http://localhost:1"])
def test_pages_of_other_sites_see_nothing(client, recipe, origin):
    """A page open in a browser on this machine cannot read or store what is the user's."""
    problem_in(client.get("/v1/recipes", headers={"Origin": origin}), 403)
    answer = client.post("/v1/recipes", json={"recipe": recipe}, headers={"Origin": origin})
    problem_in(answer, 403)


def test_the_services_own_page_is_let_in(client):
    """The origin that the service is reached at is no other site."""
    assert client.get("/v1/recipes", headers={"Origin": "http://localhost"}).is_success


def test_a_page_with_a_key_is_let_in_from_anywhere(client):
    """A key says who asks, whatever page sends it."""
    key = issue_key(client.app.state.wiring.database, "a page").text
    headers = {"Origin": "https://elsewhere.example", "Authorization": f"Bearer {key}"}
    answer = client.get("/v1/recipes", headers=headers)
    assert answer.is_success
    assert answer.headers["access-control-allow-origin"] == "*"


def test_on_another_address_nobody_is_the_single_user(settings):
    """A service that others can reach asks for keys, unless its operator says otherwise."""
    reachable = replace(settings, host="0.0.0.0")
    with RunningApp(create_app(reachable)) as running:
        problem_in(running.get("/v1/recipes"), 401)
    with RunningApp(create_app(replace(reachable, single_user=True))) as running:
        headers = {"Host": "oven.example"}
        assert running.get("/v1/recipes", headers=headers).is_success
        problem_in(running.get("/v1/recipes", headers={**headers, "Origin": "http://a.b"}), 403)
