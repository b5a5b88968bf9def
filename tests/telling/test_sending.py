"""One try against a real receiver, however it behaves."""

from __future__ import annotations

import socket
import ssl
import time
from collections.abc import Iterator
from datetime import UTC, datetime, timedelta
from email.utils import format_datetime
from pathlib import Path

import pytest
import trustme

from service.telling.sending import NotAnswered, send
from service.telling.targets import target_of
from tests.telling.receiver import Receiver, answers, drips, garbles, never_ends, receiving, says_nothing


@pytest.fixture
def receiver() -> Iterator[Receiver]:
    """A receiver that takes everything until told otherwise."""
    with receiving() as made:
        yield made


def sent(receiver: Receiver, limit_s: float = 10, host: str = "h.example") -> int:
    """The status of a post to the receiver, by a name that leads there."""
    target = target_of(f"http://{host}:{receiver.port}/told?by=name")
    return send(target, ["127.0.0.1"], {"webhook-id": "e1"}, b'{"a":1}', limit_s).status


def trouble(receiver: Receiver, limit_s: float = 10) -> str:
    """What a post came to that was not answered."""
    with pytest.raises(NotAnswered) as error:
        sent(receiver, limit_s)
    return error.value.trouble


def test_a_body_arrives_as_it_is_under_the_name_that_was_asked_for(receiver: Receiver) -> None:
    """By POST, as JSON, with our headers; Host is the name and not the address."""
    assert sent(receiver) == 204
    (came,) = receiver.received
    assert (came.path, came.body) == ("/told?by=name", b'{"a":1}')
    assert came.headers["host"] == f"h.example:{receiver.port}"
    assert came.headers["content-type"] == "application/json"
    assert came.headers["webhook-id"] == "e1"
    assert came.headers["user-agent"].startswith("Traywright/")


def test_no_name_is_looked_up_and_no_proxy_asked(receiver: Receiver, monkeypatch: pytest.MonkeyPatch) -> None:
    """What was checked is connected to: a second look-up, or a proxy of the environment, could lead elsewhere."""
    for name in ("http_proxy", "https_proxy", "all_proxy", "HTTP_PROXY", "HTTPS_PROXY", "ALL_PROXY"):
        monkeypatch.setenv(name, "http://127.0.0.1:9")
    looked_up: list[str] = []
    real = socket.getaddrinfo

    def watched(host: str, *rest: object, **named: object) -> object:
        looked_up.append(host)
        return real(host, *rest, **named)  # type: ignore[arg-type]

    monkeypatch.setattr(socket, "getaddrinfo", watched)
    assert sent(receiver) == 204
    assert set(looked_up) <= {"127.0.0.1"}


def test_a_redirect_is_not_followed(receiver: Receiver) -> None:
    """Its status is the answer, wherever it leads; nothing else comes."""
    for status in (301, 302, 303, 307, 308):
        receiver.behave = answers(status, Location=f"http://127.0.0.1:{receiver.port}/inside")
        assert sent(receiver) == status
    assert [each.path for each in receiver.received] == ["/told?by=name"] * 5


def test_one_that_drips_is_cut_off(receiver: Receiver) -> None:
    """A byte every 50 ms keeps a socket's timeout from ever running out; the try ends all the same."""
    receiver.behave = drips
    assert trouble(receiver, limit_s=0.5) == "timeout"


def test_one_that_hangs_is_given_up(receiver: Receiver) -> None:
    """It takes the request and does not answer."""
    receiver.behave = lambda _handler: time.sleep(3)
    assert trouble(receiver, limit_s=0.3) == "timeout"


def test_an_endless_body_is_not_read(receiver: Receiver) -> None:
    """The status counts; of a body of 100 GB some kB are read."""
    receiver.behave = never_ends
    assert sent(receiver) == 200


def test_what_is_no_answer_is_told_apart(receiver: Receiver) -> None:
    """A connection that is closed, and one that speaks another protocol."""
    for behave in (says_nothing, garbles):
        receiver.behave = behave
        assert trouble(receiver) == "garbled"


def test_nobody_there_is_told_apart() -> None:
    """A port that nobody listens on; where a host has several addresses the others are tried."""
    with socket.socket() as probe:
        probe.bind(("127.0.0.1", 0))
        port = probe.getsockname()[1]
    with pytest.raises(NotAnswered) as error:
        send(target_of(f"http://h.example:{port}/"), ["127.0.0.1"], {}, b"{}", 5)
    assert error.value.trouble == "unreachable"


def test_the_next_address_is_tried_where_one_does_not_connect(receiver: Receiver) -> None:
    """Nothing was sent to the first, so nothing is sent twice."""
    target = target_of(f"http://h.example:{receiver.port}/")
    assert send(target, ["127.0.0.9", "::1", "127.0.0.1"], {}, b"{}", 10).status == 204
    assert len(receiver.received) == 1


@pytest.mark.parametrize(("status", "said", "least", "most"), [
    (503, "120", 120, 120), (429, "7", 7, 7), (503, "soon", None, None), (500, "120", None, None),
    (429, "-3", None, None), (503, "9" * 40, 999_999_999, 999_999_999),
])  # fmt: skip
def test_a_rest_that_is_asked_for_is_heard(
    receiver: Receiver, status: int, said: str, least: float | None, most: float | None
) -> None:
    """Seconds, with 429 and 503 alone; nonsense asks for nothing."""
    receiver.behave = answers(status, Retry_After=said)
    answer = send(target_of(receiver.url), ["127.0.0.1"], {}, b"{}", 10)
    assert answer.status == status
    assert (answer.rest_s is None) if least is None or most is None else least <= (answer.rest_s or 0) <= most


def test_a_rest_may_be_a_date(receiver: Receiver) -> None:
    """An HTTP date is how long it is until then; one that has passed is no rest."""
    for hours, least, most in ((1, 3500, 3600), (-1, 0, 0)):
        then = datetime.now(UTC) + timedelta(hours=hours)
        receiver.behave = answers(503, Retry_After=format_datetime(then, usegmt=True))
        answer = send(target_of(receiver.url), ["127.0.0.1"], {}, b"{}", 10)
        assert answer.rest_s is not None and least <= answer.rest_s <= most


@pytest.fixture
def authority(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> trustme.CA:
    """An authority that this process trusts, by OpenSSL's own variable."""
    made = trustme.CA()
    made.cert_pem.write_to_path(tmp_path / "authority.pem")
    monkeypatch.setenv("SSL_CERT_FILE", str(tmp_path / "authority.pem"))
    return made


def over_tls(authority: trustme.CA, certified: str, host: str) -> str | int:
    """What a post by the name ``host`` comes to where the receiver has a certificate for ``certified``."""
    context = ssl.SSLContext(ssl.PROTOCOL_TLS_SERVER)
    authority.issue_cert(certified).configure_cert(context)
    with receiving(context) as receiver:
        try:
            return send(target_of(f"https://{host}:{receiver.port}/"), ["127.0.0.1"], {}, b"{}", 10).status
        except NotAnswered as error:
            assert receiver.received == []
            return error.trouble


def test_a_certificate_has_to_be_the_hosts(authority: trustme.CA) -> None:
    """Held against the name that was asked for, though the address is connected to; one for the address will not do."""
    assert over_tls(authority, "h.example", "h.example") == 204
    assert over_tls(authority, "h.example", "h.example.") == 204
    assert over_tls(authority, "other.example", "h.example") == "tls"
    assert over_tls(authority, "127.0.0.1", "h.example") == "tls"
    assert over_tls(authority, "127.0.0.1", "127.0.0.1") == 204


def test_a_certificate_of_nobody_known_is_refused(authority: trustme.CA) -> None:
    """The right name by an authority that is not trusted."""
    assert over_tls(trustme.CA(), "h.example", "h.example") == "tls"
