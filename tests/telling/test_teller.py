"""Whoever tells, against real receivers: everything arrives, once and signed, and nothing goes where it should not."""

from __future__ import annotations

import logging
import time
from collections.abc import Iterator, Sequence
from dataclasses import replace

import pytest
from standardwebhooks.webhooks import Webhook as Verifier

from service.domain.webhook import Outcome, Turn
from service.domain.webhook_secret import new_secret
from service.store import AnyRevision, AuditFilter, Store
from service.telling.networks import Allowed, allowed_from
from service.telling.pace import Pace
from service.telling.sending import Answer, NotAnswered
from service.telling.targets import Target
from service.telling.teller import Teller, try_once
from tests.telling.receiver import Receiver, answers, receiving, says_nothing
from tests.webhook_rows import added, placed, told

QUICK = Pace(first_s=0.02, growth=1, attempts=5)
SITE = allowed_from("true")


def telling(url: str, pace: Pace = QUICK, allowed: Allowed = SITE) -> Teller:
    """Someone who tells, and looks often."""
    return Teller(url, allowed, pace, look_s=0.02)


@pytest.fixture
def receiver() -> Iterator[Receiver]:
    """A receiver that takes everything until told otherwise."""
    with receiving() as made:
        yield made


def settled(store: Store, webhook_id: str, within_s: float = 60) -> list[tuple[str, int, int | None, str | None]]:
    """State, tries, last status and last trouble of each delivery when none of them waits any more."""
    last = time.monotonic() + within_s
    while True:
        found = store.webhooks.deliveries(webhook_id, 500)
        if all(each.state != "waiting" for each in found):
            return [(each.state, each.attempts, each.status, each.trouble) for each in reversed(found)]
        assert time.monotonic() < last, found
        time.sleep(0.02)


def test_what_happens_arrives_signed(store: Store, url: str, receiver: Receiver) -> None:
    """The reference library takes each, by the webhook's own secret; id and body are the event's."""
    webhook, secret = added(store, url=receiver.url)
    with telling(url):
        orders = placed(store, 3)
        assert settled(store, webhook.id) == [("delivered", 1, 204, None)] * 3
    bodies = [Verifier(secret).verify(each.body, each.headers) for each in receiver.received]
    assert [each["data"]["id"] for each in bodies] == orders
    assert receiver.ids() == [each.event for each in told(store, webhook)]
    with pytest.raises(Exception, match="No matching signature"):
        Verifier(new_secret()).verify(receiver.received[0].body, receiver.received[0].headers)


def test_a_failure_is_followed_by_another_try_of_the_same(store: Store, url: str, receiver: Receiver) -> None:
    """The same id and body each time, until it is taken."""
    webhook, secret = added(store, url=receiver.url)
    receiver.then = [answers(500), says_nothing, answers(302, Location="/inside"), answers(503, Retry_After="0")]
    placed(store)
    with telling(url):
        assert settled(store, webhook.id) == [("delivered", 5, 204, None)]
    assert len(set(receiver.ids())) == 1 and len({each.body for each in receiver.received}) == 1
    assert [each.path for each in receiver.received] == ["/told"] * 5
    assert Verifier(secret).verify(receiver.received[-1].body, receiver.received[-1].headers)
    assert store.webhooks.get(webhook.id).failing_since is None


def test_tries_come_to_an_end(store: Store, url: str, receiver: Receiver) -> None:
    """So many and not one more; and asked for again, it gets as many as a new one."""
    webhook, _ = added(store, url=receiver.url)
    receiver.behave = answers(500)
    placed(store)
    with telling(url):
        assert settled(store, webhook.id) == [("failed", 5, 500, "status")]
        assert len(receiver.received) == 5
        receiver.behave = answers(200)
        (delivery,) = told(store, webhook)
        store.webhooks.deliver_again(webhook.id, delivery.id)
        assert settled(store, webhook.id) == [("delivered", 1, 200, None)]
    assert set(receiver.ids()) == {delivery.event}


def test_gone_switches_off(store: Store, url: str, receiver: Receiver) -> None:
    """410 is the last that is sent there; the resource says so, and who switched it off is on record."""
    webhook, _ = added(store, url=receiver.url)
    receiver.behave = answers(410)
    placed(store, 2)
    with telling(url):
        last = time.monotonic() + 60
        while store.webhooks.get(webhook.id).wanted.active and time.monotonic() < last:
            time.sleep(0.02)
        placed(store)
        time.sleep(0.3)
    assert len(receiver.received) == 1
    off = store.webhooks.get(webhook.id)
    assert (off.off_because, off.wanted.active) == ("gone", False)
    assert store.audit.listed(1, None, AuditFilter(("webhooks",), item=webhook.id))[0].by.name == "webhooks"


def test_a_receiver_that_hangs_holds_up_nobody_else(store: Store, url: str, receiver: Receiver) -> None:
    """While it has one request and does not answer, another is told ten things."""
    with receiving() as other:
        receiver.behave = lambda _handler: time.sleep(5)
        added(store, url=receiver.url)
        webhook, _ = added(store, url=other.url)
        placed(store, 10)
        with telling(url):
            receiver.awaits(1)
            assert settled(store, webhook.id) == [("delivered", 1, 204, None)] * 10
            assert len(receiver.received) == 1


def test_two_who_tell_never_send_the_same_and_never_two_at_once(store: Store, url: str, receiver: Receiver) -> None:
    """Forty events, two servers of four senders each: each event comes once, and none beside another."""
    webhook, _ = added(store, url=receiver.url)
    with telling(url), telling(url):
        placed(store, 40)
        assert settled(store, webhook.id) == [("delivered", 1, 204, None)] * 40
    assert sorted(receiver.ids()) == sorted(each.event for each in told(store, webhook))
    assert receiver.most_at_once == 1


def test_a_removed_webhook_is_told_no_more(store: Store, url: str, receiver: Receiver) -> None:
    """Also what waited to be tried again."""
    webhook, _ = added(store, url=receiver.url)
    receiver.behave = answers(500)
    placed(store)
    with telling(url, replace(QUICK, first_s=1.0)):
        receiver.awaits(1)
        store.webhooks.remove(webhook.id, AnyRevision())
        placed(store)
        time.sleep(1.5)
    assert len(receiver.received) == 1


def test_an_address_that_is_not_allowed_is_not_even_connected_to(store: Store, url: str, receiver: Receiver) -> None:
    """However it came to stand there: it is looked at again at every try."""
    webhook, _ = added(store, url=receiver.url)
    placed(store)
    with telling(url, replace(QUICK, attempts=2), Allowed()):
        assert settled(store, webhook.id) == [("failed", 2, None, "refused_address")]
    assert receiver.received == []


class Rebinding:
    """A resolver whose every answer is another: first a public address, then the loopback one."""

    def __init__(self) -> None:
        self.asked = 0

    def __call__(self, _host: str, _port: int) -> Sequence[str]:
        self.asked += 1
        return ["1.1.1.1"] if self.asked % 2 else ["127.0.0.1"]


TURN = Turn("w" * 32, 1, 1, "d" * 32, "e" * 32, 0, "https://h.example:8443/told", (new_secret(),), b"{}")


def test_a_name_that_changes_between_look_and_connection_leads_nowhere() -> None:
    """It is looked up once a try, and what was looked at is what is connected to; the next answer is refused."""
    resolver, connected = Rebinding(), []

    def send(target: Target, addresses: Sequence[str], _headers: object, _body: bytes) -> Answer:
        connected.append((target.host, *addresses))
        return Answer(204)

    assert try_once(TURN, Allowed(), QUICK, resolver, send).trouble is None
    assert (resolver.asked, connected) == (1, [("h.example", "1.1.1.1")])
    assert try_once(TURN, Allowed(), QUICK, resolver, send).trouble == "refused_address"
    assert (resolver.asked, len(connected)) == (2, 1)


def outcome(answer: Answer | NotAnswered, attempts: int = 0) -> Outcome:
    """What is made of an answer after so many tries."""

    def send(*_: object) -> Answer:
        if isinstance(answer, NotAnswered):
            raise answer
        return answer

    return try_once(replace(TURN, attempts=attempts), Allowed(), Pace(), lambda _h, _p: ["1.1.1.1"], send)


@pytest.mark.parametrize("status", [200, 201, 202, 204, 299])
def test_every_2xx_is_taken(status: int) -> None:
    """And is not tried again."""
    assert outcome(Answer(status)) == Outcome(None, status, None, Pace().off_after_s)


@pytest.mark.parametrize(
    ("status", "trouble"),
    [
        (300, "redirected"),
        (308, "redirected"),
        (304, "redirected"),
        (400, "status"),
        (404, "status"),
        (500, "status"),
        (199, "status"),
    ],
)
def test_any_other_status_is_tried_again(status: int, trouble: str) -> None:
    """Also those that blame the sender: a receiver may be mended."""
    made = outcome(Answer(status))
    assert (made.trouble, made.status) == (trouble, status) and made.again_s is not None


def test_what_a_receiver_asks_for_is_heeded_within_bounds() -> None:
    """Retry-After of an hour is an hour; of a year, a day; after the last try there is none."""
    assert outcome(Answer(503, 3600)).again_s == 3600
    assert outcome(Answer(429, 3.2e7)).again_s == 86_400
    assert outcome(Answer(503, 3600), attempts=9).again_s is None
    assert outcome(NotAnswered("timeout")).trouble == "timeout"


def test_no_secret_and_no_address_is_logged(
    store: Store, url: str, receiver: Receiver, caplog: pytest.LogCaptureFixture
) -> None:
    """Failures are logged by the ids of webhook and delivery; what stands in the address may be a secret too."""
    webhook, secret = added(store, url=f"{receiver.url}?key=hidden")
    receiver.behave = answers(500)
    placed(store)
    with caplog.at_level(logging.DEBUG), telling(url, replace(QUICK, attempts=2)):
        settled(store, webhook.id)
    assert webhook.id in caplog.text and "status 500" in caplog.text
    assert secret not in caplog.text and secret[6:] not in caplog.text and "hidden" not in caplog.text
