"""How many requests a caller may send: none is counted unless the operator says so, and then each for its caller."""

from __future__ import annotations

import logging
import time
import uuid
from collections.abc import Callable, Iterator
from concurrent.futures import ThreadPoolExecutor

import pytest
from flask import Flask
from prometheus_client.parser import text_string_to_metric_families

from service.api.metrics import Metrics
from service.api.rate.limiter import Limiter, Standing
from service.api.rate.shared import PREFIX, NoSharedWindows, NotCounted, SharedWindows
from service.api.rate.windows import CALLERS_MOST, Counted, OwnWindows, Windows
from service.app import create_app
from service.settings import Rate, Settings
from service.store import Store
from tests.api.held_client import HeldClient
from tests.api.live_server import free_port
from tests.api.tokens import bearer
from tests.redis_server import REDIS, redis_or_skip


@pytest.fixture
def shared() -> Iterator[Callable[[int], SharedWindows]]:
    """Windows of so many seconds in a real Redis, under keys that are removed after the test."""
    prefix, opened = f"traywright-test:{uuid.uuid4().hex}:", []
    server = redis_or_skip()

    def windows(window_s: int) -> SharedWindows:
        opened.append(SharedWindows(REDIS, window_s, prefix))
        return opened[-1]

    yield windows
    for each in opened:
        each.close()
    for key in server.scan_iter(f"{prefix}*"):
        server.delete(key)
    server.close()


class Away:
    """Windows that answer only while they are told to."""

    def __init__(self) -> None:
        self.there, self.asked = False, 0

    def count(self, whose: str) -> Counted:
        self.asked += 1
        if not self.there:
            raise NotCounted("ConnectionError")
        return Counted(1, 60)


def limited(store: Store, rate: Rate) -> Flask:
    made = create_app(Settings(rate_limit=rate), store)
    made.test_client_class = HeldClient
    return made


def told(metrics: Metrics) -> dict[tuple[str, str], float]:
    """The counters about the rate, by name and label."""
    families = text_string_to_metric_families(metrics.text(None).decode())
    samples = (sample for family in families for sample in family.samples if sample.name.startswith("traywright_rate"))
    return {
        (sample.name, sample.labels.get("by", "")): sample.value for sample in samples if sample.name[-6:] == "_total"
    }


def test_nobody_is_counted_unless_the_operator_says_so(client: HeldClient) -> None:
    """By default there is neither a limit nor a header that speaks of one."""
    answers = [client.get("/v1/closures") for _ in range(50)]
    assert {answer.status_code for answer in answers} == {200}
    assert not any(name.startswith("RateLimit") for answer in answers for name, _ in answer.headers)


def test_what_is_left_is_told_and_one_too_many_is_refused(store: Store) -> None:
    """Both fields on every answer, of errors too; the first request over the rate is 429 and says when to come back."""
    client = limited(store, Rate(3, 3600)).test_client()
    answers = [client.get(path) for path in ("/v1/closures", "/v1/closures/none", "/v1/plans?colour=blue", "/nowhere")]
    assert [answer.status_code for answer in answers] == [200, 404, 400, 429]
    assert {answer.headers["RateLimit-Policy"] for answer in answers} == {'"requests";q=3;w=3600'}
    assert [answer.headers["RateLimit"].split(";t=")[0] for answer in answers] == [
        f'"requests";r={left}' for left in (2, 1, 0, 0)
    ]
    refused = answers[-1]
    assert refused.get_json()["type"] == "/problems/quota-exceeded"
    assert 3590 <= int(refused.headers["Retry-After"]) <= 3600
    assert refused.headers["RateLimit"].endswith(f";t={refused.headers['Retry-After']}")


def test_health_and_metrics_are_never_refused(store: Store) -> None:
    """What looks after the service is neither counted nor told to wait."""
    client = limited(store, Rate(1, 3600)).test_client()
    for path in ("/healthz", "/readyz", "/metrics") * 3:
        answer = client.get(path)
        assert answer.status_code == 200 and "RateLimit" not in answer.headers
    assert [client.get("/v1/closures").status_code for _ in range(2)] == [200, 429]


def test_each_token_has_a_share_of_its_own(store: Store) -> None:
    """Two tokens behind one address do not take from each other; bad tokens take from nobody's share."""
    app = limited(store, Rate(2, 3600))
    one, other = bearer(app, "read"), bearer(app, "read")
    client = app.test_client()
    assert [client.get("/v1/plans", headers=one).status_code for _ in range(3)] == [200, 200, 429]
    assert client.get("/v1/plans", headers={"Authorization": "Bearer wrong"}).status_code == 401
    assert [client.get("/v1/plans", headers=other).status_code for _ in range(3)] == [200, 200, 429]
    metrics = app.extensions["traywright"].metrics
    assert told(metrics)[("traywright_rate_limited_total", "token")] == 2


def test_each_address_without_a_token_has_a_share_of_its_own(store: Store) -> None:
    """Of IPv6 it is the network that one customer has all of, so that nobody has 2^64 shares."""
    app = limited(store, Rate(1, 3600))
    client = app.test_client()

    def asked(address: str) -> int:
        return client.get("/openapi.yaml", environ_base={"REMOTE_ADDR": address}).status_code

    assert [asked("192.0.2.7"), asked("192.0.2.7"), asked("192.0.2.8")] == [200, 429, 200]
    assert [asked("2001:db8::1"), asked("2001:db8::ffff:2"), asked("2001:db8:0:1::1")] == [200, 429, 200]


def test_pages_are_counted_without_what_they_bring_along(store: Store) -> None:
    """A page is one request, its style and script are none, and one too many is told as a page."""
    made = create_app(Settings(rate_limit=Rate(2, 3600)), store)
    browser = made.test_client()
    first = browser.get("/plans")
    assert first.headers["RateLimit"].startswith('"requests";r=1;')
    style = first.get_data(as_text=True).split('rel="stylesheet" href="')[1].split('"')[0]
    assert all(browser.get(style).status_code == 200 for _ in range(5))
    assert browser.get("/docs").status_code == 200
    over = browser.get("/plans")
    assert over.status_code == 429 and over.mimetype == "text/html" and over.headers["Retry-After"]
    assert "Too many requests" in over.get_data(as_text=True)


def test_a_window_ends_when_it_said_it_would() -> None:
    """It begins with the first request, not with the clock's minute; after it the share is whole again."""
    now = [100.0]
    windows = OwnWindows(60, lambda: now[0])
    assert windows.count("a") == Counted(1, 60)
    now[0] = 159.0
    assert windows.count("a") == Counted(2, 1)
    assert windows.count("b") == Counted(1, 60)
    now[0] = 160.0
    assert windows.count("a") == Counted(1, 60)


def test_windows_take_bounded_memory() -> None:
    """However many callers there are, so many are counted; the one whose window began first is forgotten first."""
    windows = OwnWindows(60, lambda: 0.0)
    for number in range(CALLERS_MOST + 1):
        windows.count(str(number))
    assert len(windows._held) == CALLERS_MOST
    assert windows.count("1").requests == 2
    assert windows.count("0").requests == 1


def test_a_share_is_kept_by_many_threads() -> None:
    """Eight threads that ask at once get exactly the share, not one more."""
    limiter = Limiter(Rate(500, 3600), OwnWindows(3600, time.monotonic), Metrics())
    with ThreadPoolExecutor(8) as threads:
        problems = list(threads.map(lambda _: limiter.count("token", "t")[1], range(1000)))
    assert problems.count(None) == 500


def test_who_waits_as_long_as_was_said_is_let_in(shared: Callable[[int], SharedWindows]) -> None:
    """In this process and in Redis, whose clocks are not the test's."""
    for windows in (OwnWindows(1, time.monotonic), shared(1)):
        limiter = Limiter(Rate(1, 1), windows, Metrics())
        # A machine that stops for a second between two of them begins another window.
        counts = (limiter.count("token", "t") for _ in range(100))
        standing, problem = next(count for count in counts if count[1] is not None)
        assert problem is not None and standing is not None
        assert problem.headers["Retry-After"] == str(standing.again_s) == "1"
        time.sleep(standing.again_s)
        assert limiter.count("token", "t") == (Standing(Rate(1, 1), 0, 1), None)


def test_processes_that_share_redis_count_together(shared: Callable[[int], SharedWindows]) -> None:
    """Four limiters, each with connections of its own and threads at once, let pass what one would; keys end."""
    ours = [Limiter(Rate(100, 3600), shared(3600), Metrics()) for _ in range(4)]
    with ThreadPoolExecutor(8) as threads:
        problems = list(threads.map(lambda number: ours[number % 4].count("token", "t")[1], range(200)))
    assert problems.count(None) == 100
    windows = shared(3600)
    assert windows.count("token:t").requests == 201
    assert 0 < windows._server.ttl(f"{windows._prefix}token:t") <= 3600


def test_a_count_that_would_never_end_is_given_an_end(shared: Callable[[int], SharedWindows]) -> None:
    """A key without an end, as a window leaves it that ends between two commands, is not counted in for ever."""
    windows = shared(60)
    windows._server.set(f"{windows._prefix}token:t", 5)
    assert windows.count("token:t") == Counted(6, 60)
    assert 0 < windows._server.ttl(f"{windows._prefix}token:t") <= 60


def test_where_redis_does_not_answer_everybody_is_let_in(store: Store, caplog: pytest.LogCaptureFixture) -> None:
    """Without the fields, since nothing is known; told in the log once, and each of them in the metrics."""
    settings = Settings(rate_limit=Rate(1, 3600), rate_store=f"redis://127.0.0.1:{free_port()}/0")
    app = create_app(settings, store)
    app.test_client_class = HeldClient
    client = app.test_client()
    with caplog.at_level(logging.WARNING, "service.api.rate"):
        answers = [client.get("/v1/closures") for _ in range(20)]
    assert {answer.status_code for answer in answers} == {200}
    assert not any("RateLimit" in answer.headers for answer in answers)
    assert [record.levelname for record in caplog.records] == ["ERROR"]
    assert told(app.extensions["traywright"].metrics)[("traywright_rate_uncounted_total", "")] == 20


def test_redis_is_left_alone_for_a_while_and_then_counts_again(caplog: pytest.LogCaptureFixture) -> None:
    """A server that is away is asked every five seconds and not for each request; its return is logged once."""
    now, windows = [0.0], Away()
    checked: Windows = windows
    limiter = Limiter(Rate(1, 60), checked, Metrics(), lambda: now[0])
    with caplog.at_level(logging.WARNING, "service.api.rate"):
        for now[0] in (0.0, 1.0, 4.9):
            assert limiter.count("token", "t") == (None, None)
        assert windows.asked == 1
        now[0] = 5.0
        assert limiter.count("token", "t") == (None, None) and windows.asked == 2
        windows.there, now[0] = True, 11.0
        assert limiter.count("token", "t") == (Standing(Rate(1, 60), 0, 60), None)
        assert limiter.count("token", "t") == (Standing(Rate(1, 60), 0, 60), None)
    assert [record.levelname for record in caplog.records] == ["ERROR", "WARNING"]


def test_what_is_no_address_of_redis_is_told_at_the_start() -> None:
    """Not with the first request."""
    with pytest.raises(NoSharedWindows, match="no address"):
        SharedWindows("postgresql://somewhere", 60)
    assert PREFIX.startswith("traywright")
