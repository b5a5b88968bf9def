"""Reading a file or standard input for a command."""

from __future__ import annotations

import sys
from pathlib import Path

from service.cli.failures import CommandError


def read_input(name: str) -> bytes:
    """The bytes of a file, or of standard input for ``-``; raises ``CommandError`` where there is no such file."""
    if name == "-":
        return sys.stdin.buffer.read()
    try:
        return Path(name).read_bytes()
    except FileNotFoundError:
        raise CommandError(f"{name}: there is no such file") from None
    except IsADirectoryError:
        raise CommandError(f"{name}: is a folder, not a file") from None
