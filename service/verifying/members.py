"""Reading members of a document that nobody has vouched for: each is of its kind, or it is told where it is not."""

from __future__ import annotations

from collections.abc import Iterator
from decimal import Decimal
from math import isfinite
from typing import Any

_LARGEST = 2**63


class Malformed(Exception):
    """A member is missing or is not of its kind; ``pointer`` says which."""

    def __init__(self, pointer: str, text: str) -> None:
        super().__init__(f"{pointer or '/'}: {text}")
        self.pointer = pointer
        self.text = text


def escaped(name: object) -> str:
    """A member's name as it stands in a JSON pointer."""
    return str(name).replace("~", "~0").replace("/", "~1")


class Member:
    """A value of the document and the pointer to it."""

    __slots__ = ("pointer", "value")

    def __init__(self, value: Any, pointer: str = "") -> None:
        self.value = value
        self.pointer = pointer

    def __getitem__(self, name: str) -> Member:
        """The member of that name, which must be there."""
        if not isinstance(self.value, dict):
            raise Malformed(self.pointer, "is not an object")
        if name not in self.value:
            raise Malformed(f"{self.pointer}/{escaped(name)}", "is missing")
        return Member(self.value[name], f"{self.pointer}/{escaped(name)}")

    def has(self, name: str) -> bool:
        """Whether the object has a member of that name."""
        return isinstance(self.value, dict) and name in self.value

    def maybe(self, name: str) -> Member | None:
        """The member of that name; None where it is missing or null."""
        return self[name] if self.has(name) and self.value[name] is not None else None

    def each(self) -> Iterator[Member]:
        """The elements of a list."""
        if not isinstance(self.value, list):
            raise Malformed(self.pointer, "is not a list")
        for place, value in enumerate(self.value):
            yield Member(value, f"{self.pointer}/{place}")

    def named(self) -> Iterator[tuple[str, Member]]:
        """The members of an object with their names."""
        if not isinstance(self.value, dict):
            raise Malformed(self.pointer, "is not an object")
        for name in self.value:
            yield name, self[name]

    def whole(self, least: int = 0, most: int = _LARGEST) -> int:
        """A whole number from ``least`` to ``most``."""
        value = self.value
        if isinstance(value, float) and isfinite(value) and value == int(value):
            value = int(value)
        if isinstance(value, bool) or not isinstance(value, int):
            raise Malformed(self.pointer, "is not a whole number")
        if not least <= value <= most:
            raise Malformed(self.pointer, f"is less than {least} or more than {most}")
        return value

    def number(self) -> float:
        """A finite number, 0 or more."""
        value = self.value
        if isinstance(value, bool) or not isinstance(value, int | float) or not 0 <= value < _LARGEST:
            raise Malformed(self.pointer, "is not a number of 0 or more")
        return float(value)

    def decimal(self) -> Decimal:
        """As :meth:`number`, exactly as it was written in decimal."""
        self.number()
        return Decimal(repr(self.value))

    def text(self) -> str:
        """A text."""
        if not isinstance(self.value, str):
            raise Malformed(self.pointer, "is not a text")
        return self.value

    def one_of(self, *words: str) -> str:
        """One of some words."""
        if self.value not in words or not isinstance(self.value, str):
            raise Malformed(self.pointer, f"is none of {', '.join(words)}")
        return self.value

    def flag(self) -> bool:
        """True or false."""
        if not isinstance(self.value, bool):
            raise Malformed(self.pointer, "is neither true nor false")
        return self.value

    def cents(self) -> int:
        """Money as a text with two decimals, in hundredths."""
        text = self.text()
        before, point, after = text.partition(".")
        if not (before.isascii() and before.isdecimal() and point and after.isascii() and after.isdecimal()):
            raise Malformed(self.pointer, "is not an amount of money")
        if len(after) != 2 or len(before) > 18:
            raise Malformed(self.pointer, "is not an amount of money with two decimals")
        return int(before + after)
