"""Looking up a host in a time that is known: the system's resolver can take minutes, and cannot be stopped."""

from __future__ import annotations

import socket
import threading
from collections.abc import Sequence

LIMIT_S = 5.0


def resolve(host: str, port: int) -> Sequence[str]:
    """The addresses of a host, as the system finds them; raises ``OSError`` where it finds none in time."""
    found: list[str] = []

    def look() -> None:
        try:
            answers = socket.getaddrinfo(host, port, type=socket.SOCK_STREAM)
        except (OSError, UnicodeError):
            return
        # One way to each address, in the order that the system prefers; a zone (%eth0) stays, and is refused.
        found.extend(dict.fromkeys(str(address[0]) for *_, address in answers))

    looking = threading.Thread(target=look, name="resolve", daemon=True)
    looking.start()
    looking.join(LIMIT_S)
    if looking.is_alive() or not found:
        raise OSError("no address was found in time")
    return list(found)
