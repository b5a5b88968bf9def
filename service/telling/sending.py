"""One try: a POST to an address that was looked at, in a time that is known, and the status of the answer."""

from __future__ import annotations

import socket
import ssl
import threading
import time
from collections.abc import Iterator, Mapping, Sequence
from contextlib import closing, contextmanager, suppress
from dataclasses import dataclass
from datetime import UTC, datetime
from email.utils import parsedate_to_datetime
from http.client import HTTPException

from urllib3.connection import HTTPConnection, HTTPSConnection
from urllib3.exceptions import HTTPError, SSLError
from urllib3.exceptions import TimeoutError as TookTooLong

from service import __version__
from service.domain.webhook import Trouble
from service.telling.targets import Target

LIMIT_S = 15.0
"""How long a try may take in all, the answer's head included."""

_READ_MOST = 16 * 1024
_CONNECT_S = 5.0
_ADDRESSES_MOST = 3
_ASKS_FOR_REST = (429, 503)


@dataclass(frozen=True, slots=True)
class Answer:
    """What a receiver said; ``rest_s``: after how many seconds it wants to be asked again, where it said so."""

    status: int
    rest_s: float | None = None


class NotAnswered(Exception):
    """A try that no answer came of."""

    def __init__(self, trouble: Trouble) -> None:
        self.trouble: Trouble = trouble
        super().__init__(trouble)


def send(
    target: Target, addresses: Sequence[str], headers: Mapping[str, str], body: bytes, limit_s: float = LIMIT_S
) -> Answer:
    """Post a body to one of the addresses; raises ``NotAnswered``.

    No name is looked up, no proxy of the environment asked and no redirect followed; of the answer's body a little is
    read and nothing kept. A certificate has to be the host's, whatever the address.
    """
    ends = time.monotonic() + limit_s
    connection = _connected(target, addresses, ends)
    try:
        with _until(ends, connection) as cut_off:
            said = {**_ours(target), **headers}
            connection.request("POST", target.path, body, said, preload_content=False, decode_content=False)
            with closing(connection.getresponse()) as response:
                if cut_off.is_set():
                    # A head that breaks off reads like one that is complete.
                    raise NotAnswered("timeout")
                answer = Answer(response.status, _rest_s(response.status, response.headers.get("Retry-After")))
                # The status is what counts; a receiver that is done writing is not cut off in the midst of it.
                with suppress(OSError, HTTPError, HTTPException):
                    response.read(_READ_MOST)
        return answer
    except (TimeoutError, TookTooLong) as error:
        raise NotAnswered("timeout") from error
    except (OSError, HTTPError, HTTPException, ValueError) as error:
        raise NotAnswered("timeout" if time.monotonic() >= ends else "garbled") from error
    finally:
        connection.close()


def _ours(target: Target) -> dict[str, str]:
    return {
        "Host": target.authority,
        "User-Agent": f"Traywright/{__version__}",
        "Content-Type": "application/json",
        "Accept-Encoding": "identity",
        "Connection": "close",
    }


def _connected(target: Target, addresses: Sequence[str], ends: float) -> HTTPConnection:
    """A connection to the first address that takes one."""
    trouble: Trouble = "unreachable"
    for address in addresses[:_ADDRESSES_MOST]:
        left = ends - time.monotonic()
        if left <= 0:
            break
        connection = _connection(target, address, min(left, _CONNECT_S))
        try:
            connection.connect()
        except (OSError, HTTPError) as error:
            connection.close()
            if isinstance(error, ssl.SSLError | SSLError):
                trouble = "tls"
            continue
        connection.timeout = max(ends - time.monotonic(), 0.001)
        return connection
    raise NotAnswered(trouble)


def _connection(target: Target, address: str, timeout: float) -> HTTPConnection:
    if target.scheme == "http":
        return HTTPConnection(address, target.port, timeout=timeout)
    # The context holds the certificate against the name that is asked for, which is the host's and not the address.
    trusted, name = ssl.create_default_context(), target.host.rstrip(".")
    return HTTPSConnection(address, target.port, timeout=timeout, ssl_context=trusted, server_hostname=name)


@contextmanager
def _until(ends: float, connection: HTTPConnection) -> Iterator[threading.Event]:
    """Break the connection at the end of its time: a socket's own timeout begins anew with every byte that drips in.

    The event says that it was broken.
    """
    assert connection.sock is not None
    # Another handle of the same connection: under TLS, the one in use is not to be touched by another thread.
    handle = socket.fromfd(connection.sock.fileno(), socket.AF_INET, socket.SOCK_STREAM)

    cut_off = threading.Event()

    def cut() -> None:
        cut_off.set()
        with suppress(OSError):
            handle.shutdown(socket.SHUT_RDWR)

    timer = threading.Timer(max(ends - time.monotonic(), 0.0), cut)
    timer.daemon = True
    timer.start()
    try:
        yield cut_off
    finally:
        timer.cancel()
        handle.close()


def _rest_s(status: int, said: str | None) -> float | None:
    """The rest of a Retry-After header (RFC 9110, section 10.2.3): seconds, or a date."""
    if said is None or status not in _ASKS_FOR_REST:
        return None
    if said.strip().isascii() and said.strip().isdigit():
        return float(said.strip()[:9])
    try:
        then = parsedate_to_datetime(said)
    except ValueError:
        return None
    then = then if then.tzinfo is not None else then.replace(tzinfo=UTC)
    return max((then - datetime.now(UTC)).total_seconds(), 0.0)
