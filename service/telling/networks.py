"""Which addresses a webhook may lead to: those of the public internet, and networks that the operator has allowed."""

from __future__ import annotations

import ipaddress
from dataclasses import dataclass

from service.settings import SettingError

Address = ipaddress.IPv4Address | ipaddress.IPv6Address
Network = ipaddress.IPv4Network | ipaddress.IPv6Network

_NAT64 = ipaddress.IPv6Network("64:ff9b::/96")
_NEVER_PUBLIC = tuple(
    ipaddress.ip_network(each)
    for each in (
        "192.0.0.0/24",  # for protocols (RFC 6890); a cloud tells secrets at one of them (from memory)
        "168.63.129.16/32",  # a public address at which a cloud's machines find its host (from memory)
        "192.88.99.0/24",  # relays of 6to4 (RFC 7526)
        "2002::/16",  # 6to4 (RFC 3056): an IPv4 address of whatever kind is inside
        "2001::/32",  # Teredo (RFC 4380), the same
        "64:ff9b:1::/48",  # local translation (RFC 8215)
        "::/96",  # IPv4 in IPv6 of old (RFC 4291, section 2.5.5.1)
        "fec0::/10",  # site-local of old (RFC 3879)
        "3fff::/20",  # for documentation (RFC 9637)
        "5f00::/16",  # segment routing (RFC 9602)
    )
)
"""What the standard library may take for public, depending on its version."""

_THIS_SITE = tuple(
    ipaddress.ip_network(each)
    for each in ("127.0.0.0/8", "::1/128", "10.0.0.0/8", "172.16.0.0/12", "192.168.0.0/16", "100.64.0.0/10", "fc00::/7")
)
"""What ``true`` allows. Link-local addresses are not among them: clouds tell secrets there to whoever asks."""


_CLOUDS = tuple(ipaddress.ip_network(each) for each in ("fd00:ec2::254/128", "100.100.100.200/32"))
"""Likewise within the networks of a site (from memory): ``true`` does not mean these."""


@dataclass(frozen=True, slots=True)
class Allowed:
    """The networks that the operator allows beside the public internet, without those of ``but``."""

    networks: tuple[Network, ...] = ()
    but: tuple[Network, ...] = ()

    def private(self, address: Address) -> bool:
        """Whether the address lies in one of these networks."""
        plain = inner(address)
        return _within(plain, self.networks) and not _within(plain, self.but)

    def may_be_told(self, address: Address) -> bool:
        """Whether a webhook may lead there."""
        return self.private(address) or is_public(address)


def allowed_from(text: str) -> Allowed:
    """The networks of a setting: nothing, ``true`` for those of the site, or networks with commas between.

    Raises ``SettingError``.
    """
    if text.strip().lower() in ("", "false"):
        return Allowed()
    if text.strip().lower() == "true":
        return Allowed(_THIS_SITE, _CLOUDS)
    try:
        return Allowed(tuple(ipaddress.ip_network(each.strip()) for each in text.split(",") if each.strip()))
    except ValueError as error:
        told = f"TRAYWRIGHT_WEBHOOK_PRIVATE is true, false, or networks such as 10.0.0.0/8,fd00::/8: {error}."
        raise SettingError(told) from error


def inner(address: Address) -> Address:
    """The IPv4 address that an IPv6 one stands for, where it does: mapped, or translated by NAT64 (RFC 6052)."""
    if isinstance(address, ipaddress.IPv6Address):
        if address.ipv4_mapped is not None:
            return address.ipv4_mapped
        if address in _NAT64:
            return ipaddress.IPv4Address(int(address) & 0xFFFF_FFFF)
    return address


def is_public(address: Address) -> bool:
    """Whether the address is one of the public internet, that anybody could be asked at."""
    plain = inner(address)
    if _within(plain, _NEVER_PUBLIC):
        return False
    return plain.is_global and not (plain.is_multicast or plain.is_reserved or plain.is_unspecified)


def _within(address: Address, networks: tuple[Network, ...]) -> bool:
    return any(address in network for network in networks if network.version == address.version)
