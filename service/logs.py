"""The log: to standard error, as JSON with one object a line, or as text.

What a line says is fixed here and where it is logged: never a token, a cookie, a query or a body.
"""

from __future__ import annotations

import json
import logging
import sys
from collections.abc import Mapping
from contextvars import ContextVar
from datetime import UTC, datetime

from service.settings import Settings

request_id: ContextVar[str] = ContextVar("request_id", default="")
"""The id of the request that this thread is at; empty outside of requests."""

_QUIET = ("alembic", "procrastinate", "fontTools")


def facts(**named: object) -> dict[str, Mapping[str, object]]:
    """Figures that a line tells by name: ``log.info("answered", extra=facts(status=200))``."""
    return {"facts": named}


class JsonLines(logging.Formatter):
    """A record as one JSON object: ``time`` (RFC 3339, UTC), ``level``, ``logger``, ``message``, ``process``,
    ``request_id`` within a request, what was told by name, and ``error`` with the trace of an exception.
    """

    def format(self, record: logging.LogRecord) -> str:
        """The line, in ASCII, so that nothing in a message can end it or look like another."""
        moment = datetime.fromtimestamp(record.created, UTC).isoformat(timespec="milliseconds")
        told: dict[str, object] = {
            "time": moment.replace("+00:00", "Z"),
            "level": record.levelname.lower(),
            "logger": record.name,
            "message": record.getMessage(),
            "process": record.process,
        }
        if request_id.get():
            told["request_id"] = request_id.get()
        told.update(getattr(record, "facts", {}))
        if record.exc_info:
            told["error"] = self.formatException(record.exc_info)
        return json.dumps(told, default=str)


class TextLines(logging.Formatter):
    """A record for people: time, level, logger, message, and what was told by name."""

    def __init__(self) -> None:
        super().__init__("%(asctime)s %(levelname)s %(name)s: %(message)s")

    def format(self, record: logging.LogRecord) -> str:
        """The line, and the trace of an exception below it."""
        named = {**getattr(record, "facts", {}), **({"request_id": request_id.get()} if request_id.get() else {})}
        head, *trace = super().format(record).split("\n")
        return "\n".join([" ".join([head, *(f"{name}={value}" for name, value in named.items())]), *trace])


def log_to_stderr(settings: Settings) -> None:
    """Have this process log as the settings say, from information up; a process that does already goes on so."""
    root = logging.getLogger()
    if not any(isinstance(handler.formatter, JsonLines | TextLines) for handler in root.handlers):
        handler = logging.StreamHandler(sys.stderr)
        handler.setFormatter(JsonLines() if settings.log_json else TextLines())
        root.addHandler(handler)
    root.setLevel(logging.INFO)
    for chatty in _QUIET:
        logging.getLogger(chatty).setLevel(logging.WARNING)


def server_log() -> dict[str, object]:
    """The configuration for a server that would set up a log of its own: it has its lines go to ours."""
    return {"version": 1, "disable_existing_loggers": False, "loggers": {"_granian": {"handlers": []}}}
