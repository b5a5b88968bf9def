"""What the operator can set, by environment variables ``TRAYWRIGHT_*``."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass, fields
from pathlib import Path

Limit = int
"""A whole number from 1 up, of which the default, None, is that there is no such limit beside the others."""


@dataclass(frozen=True, slots=True)
class Rate:
    """So many requests in so many seconds."""

    requests: int
    seconds: int

    def __str__(self) -> str:
        """As it is set: ``600/60``."""
        return f"{self.requests}/{self.seconds}"


class SettingError(ValueError):
    """A variable that cannot be understood; the message names it."""


@dataclass(frozen=True, slots=True)
class Settings:
    """The settings, every one with its default.

    ``hosts`` are the addresses that the server listens on, the loopback address alone unless told otherwise.
    ``body_limit`` is in bytes, ``takeoff_limit`` likewise for a takeoff sent as lines; ``max_splices`` bounds the
    splices of one request; ``json_depth`` the levels of a body, ``header_limit`` the bytes of a request's head.
    ``request_s`` are the seconds in which a request must have come (a large body has more), ``connections`` how many
    clients the embedded server holds at a time. ``spec`` is where the published description lies (None:
    beside or inside the package). ``check_answers`` holds answers against it, counting and logging what differs: every
    refusal, and of what succeeds the first of each operation and then every ``check_every``-th. ``takeoff_workers`` are
    the processes that ``serve`` works on takeoffs with (None: one for each core; 0: none, others do it). ``engine``:
    the workers of other machines have chunks of takeoffs delivered by Procrastinate (PostgreSQL only).
    ``log_json``: the log is JSON, an object a line, else text; ``log_requests``: each answer is logged. ``traces`` is
    the address of an OpenTelemetry collector (OTLP over HTTP) that is told of each request; empty: none.
    ``rate_limit`` are the requests that each token, or each address that shows none, may send in so many seconds
    (``600/60``; None: as many as it likes); ``rate_store`` is the Redis server that several processes count in
    (``redis://host:6379/0``; empty: this process counts for itself). ``list_limit``, ``number_limit`` and
    ``range_limit`` are the items of any list, the size of any number and the numbers in any range text of a body, where
    they are to be fewer than the published description says (None: as it says).
    ``webhook_senders`` is how many receivers of webhooks are told at a time (None: four; 0: none, others do it),
    ``webhook_attempts`` how often a delivery is tried, ``webhook_off_days`` after how many days of nothing but failures
    a webhook is switched off. ``webhook_private``: webhooks may lead to networks that are not of the public internet,
    and there by plain http: ``true`` for those of a site, or networks with commas between.
    """

    database: str = "sqlite:///traywright.db"
    hosts: tuple[str, ...] = ("127.0.0.1",)
    port: int = 8080
    threads: int = 4
    workers: int = 1
    body_limit: int = 2 * 1024 * 1024
    takeoff_limit: int = 512 * 1024 * 1024
    json_depth: int = 64
    header_limit: int = 64 * 1024
    request_s: int = 30
    connections: int = 4000
    max_splices: int = 10_000
    check_answers: bool = True
    check_every: int = 10
    spec: Path | None = None
    takeoff_workers: int | None = None
    engine: bool = False
    log_json: bool = True
    log_requests: bool = True
    traces: str = ""
    rate_limit: Rate | None = None
    rate_store: str = ""
    list_limit: Limit | None = None
    number_limit: Limit | None = None
    range_limit: Limit | None = None
    webhook_senders: int | None = None
    webhook_attempts: int = 10
    webhook_off_days: int = 5
    webhook_private: str = ""


def settings_from(environment: Mapping[str, str]) -> Settings:
    """Read the settings; a variable that is missing or empty leaves its default.

    Raises ``SettingError`` where a number or a truth value cannot be read, or a number is out of range.
    """
    given: dict[str, object] = {}
    for field in fields(Settings):
        name = variable(field.name)
        text = environment.get(name, "").strip()
        if text:
            reader = _BY_TYPE.get(str(field.type))
            given[field.name] = reader(name, text) if reader else _read(name, text, field.default)
    return Settings(**given)  # type: ignore[arg-type]


def environment_of(settings: Settings) -> dict[str, str]:
    """The variables that ``settings_from`` reads these settings from; what is not set is empty."""
    return {variable(field.name): _text(getattr(settings, field.name)) for field in fields(Settings)}


def variable(setting: str) -> str:
    """The environment variable that sets a setting."""
    return f"TRAYWRIGHT_{setting.upper()}"


def _text(value: object) -> str:
    if value is None:
        return ""
    if isinstance(value, bool):
        return "true" if value else "false"
    return ",".join(value) if isinstance(value, tuple) else str(value)


def _read(name: str, text: str, default: object) -> object:
    if isinstance(default, bool):
        return _truth(name, text)
    if isinstance(default, int):
        return _number(name, text)
    if isinstance(default, tuple):
        return tuple(part.strip() for part in text.split(",") if part.strip())
    return Path(text) if default is None else text


def _truth(name: str, text: str) -> bool:
    if text.lower() not in ("true", "false"):
        raise SettingError(f"{name} is either true or false, not {text!r}.")
    return text.lower() == "true"


def _count(name: str, text: str) -> int:
    return 0 if text == "0" else _number(name, text)


def _number(name: str, text: str) -> int:
    if not text.isascii() or not text.isdigit() or not 1 <= int(text[:12]) <= 2**31:
        raise SettingError(f"{name} is a whole number from 1 up, not {text!r}.")
    return int(text)


def _rate(name: str, text: str) -> Rate:
    requests, slash, seconds = text.partition("/")
    try:
        if slash:
            return Rate(_number(name, requests.strip()), _number(name, seconds.strip()))
    except SettingError:
        pass
    raise SettingError(f"{name} is requests and seconds such as 600/60, not {text!r}.")


_BY_TYPE: dict[str, Callable[[str, str], object]] = {
    "int | None": _count,
    "Rate | None": _rate,
    "Limit | None": _number,
}
"""How settings are read whose default, None, does not tell their type."""
