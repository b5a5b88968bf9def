"""What is sent to webhooks is what the description's ``webhooks`` promise, name by name and member by member."""

from __future__ import annotations

import re
from collections.abc import Iterator
from datetime import UTC, datetime
from typing import Any, get_args

import pytest

from service.api.spec import load_spec
from service.domain.webhook import EVENT_TYPES, TRIED, Trouble, WhyOff
from service.domain.webhook_secret import new_secret
from service.store import Store
from service.telling.signing import signed_headers
from tests.api.held_client import HeldClient
from tests.api.sent_takeoffs import finished, sent

SPEC = load_spec()
TOLD: dict[str, Any] = SPEC.document["webhooks"]
SCHEMAS: dict[str, Any] = SPEC.document["components"]["schemas"]


def body_of(name: str) -> tuple[dict[str, Any], dict[str, Any]]:
    """The schema of an event's body, and its examples."""
    media = TOLD[name]["post"]["requestBody"]["content"]["application/json"]
    return media["schema"], {key: SPEC.resolved(each)["value"] for key, each in media["examples"].items()}


def types_of(name: str) -> list[str]:
    """The types that an event's body may have."""
    found: list[str] = SPEC.resolved(body_of(name)[0])["properties"]["type"]["enum"]
    return found


def test_every_event_is_described_and_no_other() -> None:
    """Each that can be listened to has one of its own, and the trial; the code knows the same."""
    named = {example["type"] for name in TOLD for example in body_of(name)[1].values()}
    assert named == {*EVENT_TYPES, TRIED} == {each for name in TOLD for each in types_of(name)}
    assert SCHEMAS["EventType"]["enum"] == list(EVENT_TYPES)
    assert SCHEMAS["EventTypes"]["maxItems"] == len(EVENT_TYPES)


def test_every_word_of_a_delivery_and_a_webhook_is_described() -> None:
    """The troubles and reasons that the code knows are those of the description."""
    assert SCHEMAS["DeliveryTrouble"]["enum"] == list(get_args(Trouble))
    assert SCHEMAS["Webhook"]["properties"]["off_because"]["enum"] == list(get_args(WhyOff))


@pytest.mark.parametrize("name", TOLD)
def test_an_event_says_what_it_is(name: str) -> None:
    """Named by its type, with summary, description, tag, an example that is valid, and what its answers mean."""
    operation = TOLD[name]["post"]
    assert operation["operationId"] == f"on{name[0].upper()}{name[1:]}"
    assert operation["tags"] == ["events"] and operation["security"] == []
    assert len(operation["description"]) > len(operation["summary"])
    assert set(operation["responses"]) == {"2XX", "410", "default"}
    schema, examples = body_of(name)
    for example in examples.values():
        assert [error.message for error in SPEC.compiled(schema).iter_errors(example)] == []
        assert re.sub(r"\.(.)", lambda found: found[1].upper(), example["type"]) == name


def test_the_headers_are_those_that_are_described() -> None:
    """The same names, and each of the described form: with one secret, and with two while it is changed."""
    for secrets in ([new_secret()], [new_secret(), new_secret()]):
        headers = signed_headers("0" * 32, int(datetime.now(UTC).timestamp()), b"{}", secrets)
        for name in TOLD:
            described = {each["name"]: each for each in map(SPEC.resolved, TOLD[name]["post"]["parameters"])}
            assert set(described) == set(headers)
            for header, value in headers.items():
                said: Any = int(value) if header == "webhook-timestamp" else value
                assert SPEC.compiled(described[header]["schema"]).is_valid(said), header


def everything(client: HeldClient, store: Store, handhole: dict[str, Any], webhook: str) -> Iterator[dict[str, Any]]:
    """Have each thing happen once, and give what the webhook was told of it."""
    plan = client.post("/v1/plans", json=handhole).get_json()["id"]
    order = client.post("/v1/orders", json={"plans": [plan]})
    client.put(
        f"{order.headers['Location']}/state", json={"state": "placed"}, headers={"If-Match": order.headers["ETag"]}
    )
    client.post("/v1/installations", json={"plan": plan, "name": "Handhole 7"})
    finished(client, store, [handhole])
    for reason in ("cancelled", "stopped"):
        begun = sent(client, [handhole]).get_json()["id"]
        if reason == "cancelled":
            store.takeoffs.cancel(begun)
        else:
            chunk = store.takeoffs.work.lease("worker")
            assert chunk is not None and store.takeoffs.work.stop(chunk, "It went on for ever.")
    client.post(f"/v1/webhooks/{webhook}/tries")
    for each in client.get(f"/v1/webhooks/{webhook}/deliveries").get_json()["items"]:
        yield each["sent"]


def test_what_happens_is_sent_as_described(filled: HeldClient, store: Store, handhole: dict[str, Any]) -> None:
    """Every kind of event, as it comes of requests and workers, is valid by its own schema, and leads somewhere."""
    wanted = {"url": "https://1.1.1.1/told", "events": list(EVENT_TYPES), "full_share": 0.01}
    webhook = filled.post("/v1/webhooks", json=wanted).get_json()["id"]
    by_type = {each: body_of(name)[0] for name in TOLD for each in types_of(name)}
    seen = []
    for event in everything(filled, store, handhole, webhook):
        # Closed for this look: a member that nobody described would pass, since members may be added.
        schema = SPEC.resolved(by_type[event["type"]])
        data = SPEC.resolved(schema["properties"]["data"])
        assert [error.message for error in SPEC.compiled(schema).iter_errors(event)] == []
        assert set(event) == set(schema["properties"])
        assert set(data["required"]) <= set(event["data"]) <= set(data["properties"])
        assert filled.get(event["data"]["href"]).status_code == 200
        seen.append(event["type"])
    assert sorted(seen) == sorted([*EVENT_TYPES, TRIED])
