"""Where a webhook leads: its URL taken apart, and the addresses that its host has just now, each of them looked at."""

from __future__ import annotations

import ipaddress
import re
from collections.abc import Callable, Sequence
from dataclasses import dataclass

from service.domain.faults import Fault
from service.domain.webhook import Trouble
from service.telling.networks import Address, Allowed

Resolve = Callable[[str, int], Sequence[str]]
"""Gives the addresses of a host, as text; raises ``OSError`` where there are none."""

_URL = re.compile(
    r"(?P<scheme>https?)://"
    r"(?P<host>\[[0-9A-Fa-f:.]{2,45}\]|[A-Za-z0-9](?:[A-Za-z0-9._-]{0,251}[A-Za-z0-9.])?)"
    r"(?::(?P<port>[0-9]{1,5}))?"
    r"(?P<path>(?:/[A-Za-z0-9._~!$&'()*+,;=:@%/-]*)?(?:\?[A-Za-z0-9._~!$&'()*+,;=:@%/?-]*)?)\Z",
)
_NUMBER = re.compile(r"(?:[0-9]+|0[xX][0-9A-Fa-f]*)\Z")
_PORTS = {"https": 443, "http": 80}
_LOWEST_OTHER_PORT = 1024


class Untellable(Exception):
    """A webhook's address that is not told anything; ``trouble`` and ``code`` are for machines."""

    def __init__(self, trouble: Trouble, code: str, detail: str) -> None:
        self.trouble: Trouble = trouble
        self.fault = Fault("/url", code, detail)
        super().__init__(detail)


@dataclass(frozen=True, slots=True)
class Target:
    """A URL taken apart. ``host`` is without brackets, ``authority`` as it stands in the Host header."""

    scheme: str
    host: str
    port: int
    authority: str
    path: str


def target_of(url: str) -> Target:
    """A webhook's URL taken apart, by one strict reading; raises ``Untellable`` for what it does not take."""
    found = _URL.match(url)
    if found is None:
        raise _refused("url", "This is no plain https:// address: no user names, no fragments, names in ASCII alone.")
    scheme, host, port = found["scheme"], found["host"], found["port"]
    number = _PORTS[scheme] if port is None else int(port)
    if number != _PORTS[scheme] and not _LOWEST_OTHER_PORT <= number < 2**16:
        raise _refused("port", f"The port is {_PORTS[scheme]} or one from {_LOWEST_OTHER_PORT} to 65535.")
    host = host.strip("[]")
    if _ends_in_number(host) or ":" in host:
        try:
            ipaddress.ip_address(host)
        except ValueError:
            raise _refused("address", "The host is a number that is not written as an IP address.") from None
    path = found["path"] or "/"
    path = path if path.startswith("/") else f"/{path}"
    authority = found["host"] if number == _PORTS[scheme] else f"{found['host']}:{number}"
    return Target(scheme, host, number, authority, path)


def addresses_of(target: Target, allowed: Allowed, resolve: Resolve) -> tuple[str, ...]:
    """The addresses that the target has now, all of which may be told; raises ``Untellable``.

    Whoever sends connects to one of these and looks nothing up again. Plain http goes to allowed networks alone.
    """
    try:
        found = [ipaddress.ip_address(target.host)]
    except ValueError:
        found = _looked_up(target, resolve)
    if not all(allowed.may_be_told(each) for each in found):
        raise _refused("private_address", "The host leads to an address that is not of the public internet.")
    if target.scheme == "http" and not all(allowed.private(each) for each in found):
        raise _refused("insecure", "Plain http is not sent over the internet: give an https:// address.")
    return tuple(str(each) for each in found)


def _looked_up(target: Target, resolve: Resolve) -> list[Address]:
    try:
        found = [ipaddress.ip_address(each) for each in resolve(target.host, target.port)]
    except (OSError, ValueError, UnicodeError):
        found = []
    if not found:
        raise Untellable("unresolved", "unresolved", "The host has no address just now.")
    return found


def _ends_in_number(host: str) -> bool:
    """Whether systems may read the host as an IPv4 address in one of its odd spellings, as ``0x7f.1`` for 127.0.0.1."""
    return bool(_NUMBER.match(host.rstrip(".").rpartition(".")[2]))


def _refused(code: str, detail: str) -> Untellable:
    return Untellable("refused_address", code, detail)
