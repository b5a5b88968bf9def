"""How a command says that it cannot do as asked."""

from __future__ import annotations

from collections.abc import Iterable


class CommandError(Exception):
    """The command cannot go on; every line goes to standard error, and the exit code is 2."""

    def __init__(self, *lines: str) -> None:
        self.lines = lines
        super().__init__("\n".join(lines))


def one_line(text: str) -> str:
    """A message without line breaks or other control characters, however it came in."""
    return " ".join("".join(letter if letter.isprintable() else " " for letter in text).split())


def printed(lines: Iterable[str]) -> str:
    """Lines as they go to standard error, each led by the command's name."""
    return "".join(f"traywright: {one_line(line)}\n" for line in lines)
