"""How large a body may be before the application has seen it: takeoffs are larger than anything else."""

from __future__ import annotations

from copy import copy
from typing import Any

from waitress.parser import HTTPRequestParser

TAKEOFFS = ("/v1/takeoffs", "/takeoffs")
"""Where takeoffs are sent: by programs, and from the page with the form."""


def parser_with(takeoff_limit: int) -> type[Any]:
    """The parser of requests that lets so many bytes through to where takeoffs are sent.

    The server keeps what is larger than half a megabyte in a file until the application reads it.
    """

    class Parser(HTTPRequestParser):  # type: ignore[misc]
        adj: Any

        def parse_header(self, header_plus: bytes) -> None:
            """Read the head of a request, from which it is known where the body is to go."""
            super().parse_header(header_plus)
            if self.command == "POST" and self.path in TAKEOFFS:
                self.adj = copy(self.adj)
                self.adj.max_request_body_size = max(self.adj.max_request_body_size, takeoff_limit + 1)

    return Parser
