"""What the embedded server refuses before the application has seen it: bodies too large, and clients too slow.

Takeoffs are larger than anything else. A client that sends a head or a body drop by drop holds a connection for a
bounded time and no thread.
"""

from __future__ import annotations

import re
import time
from copy import copy
from typing import Any

from waitress.parser import HTTPRequestParser, ParsingError
from waitress.receiver import ChunkedReceiver
from waitress.utilities import BadRequest, Error

from service.settings import Settings

TAKEOFFS = ("/v1/takeoffs", "/v1/takeoffs.csv", "/v1/takeoffs.xlsx", "/v1/takeoffs.geojson", "/takeoffs")
"""Where takeoffs are sent: by programs, as files, and from the page with the form."""

SLOWEST_BYTES_S = 4096
"""Beyond the time for any request, a body is given a second for so many bytes."""

_CHUNK_HEAD = re.compile(rb"[0-9A-Fa-f]{1,16}[ \t]*(?:;[^\r\n]{0,1000})?\r?\n?\Z")
"""The beginning of a chunk as far as it has come: its size in hexadecimal digits, and perhaps an extension."""


class TooSlow(Error):  # type: ignore[misc]
    """The request did not come in the time that there was for it."""

    code = 408
    reason = "Request Timeout"


def parser_with(settings: Settings) -> type[Any]:
    """The parser of requests, which lets more bytes through to where takeoffs are sent.

    The server keeps what is larger than a part of a megabyte in a file until the application reads it.
    """
    takeoff_limit, request_s = settings.takeoff_limit, settings.request_s

    class Parser(HTTPRequestParser):  # type: ignore[misc]
        adj: Any
        completed: bool
        chunked: bool
        error: Error | None

        def __init__(self, adj: Any) -> None:
            super().__init__(adj)
            self.begun = time.monotonic()

        def parse_header(self, header_plus: bytes) -> None:
            """Read the head of a request, from which it is known where the body is to go."""
            super().parse_header(header_plus)
            if self.path.startswith("//"):
                # The server would take the second slash away and serve another address than was asked for.
                raise ParsingError("An address begins with one slash")
            if "TRANSFER_ENCODING" in self.headers or (self.chunked and "CONTENT_LENGTH" in self.headers):
                # Who stands in between may go by the other one and see another request begin (RFC 9112, section 6.1).
                raise ParsingError("A body has one length")
            if self.command == "POST" and self.path in TAKEOFFS:
                self.adj = copy(self.adj)
                self.adj.max_request_body_size = max(self.adj.max_request_body_size, takeoff_limit + 1)

        def received(self, data: bytes) -> int:
            """Take what has come; refuse what comes too slowly, and chunks that are none."""
            consumed: int = super().received(data)
            if not self.completed:
                if isinstance(self.body_rcv, ChunkedReceiver) and not _is_chunk_head(self.body_rcv.control_line):
                    self.error = BadRequest("The body is not in chunks as its head says")
                elif time.monotonic() - self.begun > request_s + self.body_bytes_received / SLOWEST_BYTES_S:
                    self.error = TooSlow("The request came too slowly")
                self.completed = self.error is not None
            return consumed

    return Parser


def _is_chunk_head(line: bytes) -> bool:
    """Whether what has come of the line before a chunk can become one; without this, the end of it is waited for."""
    return not line or _CHUNK_HEAD.match(line) is not None
