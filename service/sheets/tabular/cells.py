"""What a cell holds, read as what its column is for, or refused with a sentence.

Spreadsheets turn what is typed into numbers, days and truths by themselves. What can be told without guessing is
taken: a number where text belongs is its digits, text where a number belongs is read with a point or a comma. A day is
never taken, since ``1-12`` and the first of December look the same once the spreadsheet has been at it.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Mapping
from decimal import Decimal
from typing import Any, NamedTuple

from service.sheets.safe_text import plain_text
from service.sheets.tabular.shape import Column, Value

_NUMBER = re.compile(r"[+-]?[0-9]{1,15}(?:[.,][0-9]{1,30})?(?:[eE][+-]?[0-9]{1,3})?\Z")
_THOUSANDS = re.compile(r"[+-]?[1-9][0-9]{0,2},[0-9]{3}\Z")
_WORDS = {"yes": True, "true": True, "no": False, "false": False}
_SEPARATORS = re.compile(r"[,;\s]+")
_TOO_LONG = 5_000
Cell = str | int | float | bool | None
"""A cell as a reader gives it. What is none of these came as ``Odd``."""


class Odd(NamedTuple):
    """A cell that is never taken, whatever its column: ``code`` and ``detail`` say why."""

    code: str
    detail: str


class NotReadable(ValueError):
    """A cell is not what its column is for; the message is a sentence for whoever typed it."""

    def __init__(self, code: str, detail: str) -> None:
        self.code = code
        super().__init__(detail)


def bare(cell: object) -> object:
    """The cell without blanks around its text; None where there is nothing in it."""
    return (plain_text(cell).strip() or None) if isinstance(cell, str) else cell


def value_in(cell: object, column: Column) -> Any:
    """What a cell that is not empty says for its column. Raises ``NotReadable``."""
    if isinstance(cell, Odd):
        raise NotReadable(cell.code, cell.detail)
    if isinstance(cell, str) and len(cell) > _TOO_LONG:
        raise NotReadable("too_long", f"This is longer than {_TOO_LONG} letters.")
    if column.value == "choice":
        return _choice(cell, column.choices)
    return _READERS[column.value](cell)


def _text(cell: object) -> str:
    if isinstance(cell, bool):
        raise NotReadable("no_text", "This is TRUE or FALSE, and text belongs here. Format the column as text.")
    if isinstance(cell, float):
        return str(int(cell)) if cell == int(cell) and abs(cell) < 2**53 else repr(cell)
    return str(cell)


def _number(cell: object) -> int | float:
    if isinstance(cell, bool):
        raise NotReadable("no_number", "This is no number.")
    if isinstance(cell, str):
        if _THOUSANDS.match(cell):
            told = "The comma may be a decimal comma or one for thousands. Write the number with a point, or without."
            raise NotReadable("no_number", told)
        if not _NUMBER.match(cell):
            raise NotReadable("no_number", "This is no number.")
        cell = float(cell.replace(",", ".")) if re.search("[.,eE]", cell) else int(cell)
    assert isinstance(cell, int | float)
    if cell != cell or abs(cell) > 2**53 - 1:
        raise NotReadable("no_number", "This number is too large.")
    return int(cell) if cell == int(cell) else cell


def _whole(cell: object) -> int:
    number = _number(cell)
    if isinstance(number, float):
        raise NotReadable("no_whole_number", "This is no whole number.")
    return number


def _number_or_text(cell: object) -> int | float | str:
    return _number(cell) if not isinstance(cell, str) or _NUMBER.match(cell) else cell


def _yes_no(cell: object) -> bool:
    if isinstance(cell, bool):
        return cell
    said = _WORDS.get(str(cell).lower())
    if said is None:
        raise NotReadable("no_choice", "This is either yes or no.")
    return said


def _money(cell: object) -> str:
    """A price as text. What was typed as a number has two decimals; what was typed as text stays as it was typed."""
    if isinstance(cell, str) and _NUMBER.match(cell) and not _THOUSANDS.match(cell) and "e" not in cell.lower():
        return cell.replace(",", ".")
    number = Decimal(repr(_number(cell)))
    cents = round(number, 2)
    # What a spreadsheet worked out can be off by a few units of its last binary place.
    return f"{cents:.2f}" if abs(number - cents) < Decimal("1e-9") else f"{number:f}"


def _list(cell: object) -> list[str]:
    return [part for part in _SEPARATORS.split(_text(cell)) if part]


def _choice(cell: object, choices: tuple[str, ...]) -> str:
    said = _text(cell)
    for choice in choices:
        if choice.lower() == said.lower():
            return choice
    raise NotReadable("no_choice", f"This is one of: {', '.join(choices)}.")


_READERS: Mapping[Value, Callable[[object], Any]] = {
    "text": _text,
    "whole": _whole,
    "number": _number,
    "number_or_text": _number_or_text,
    "yes_no": _yes_no,
    "money": _money,
    "list": _list,
}
