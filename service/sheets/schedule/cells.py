"""Cells as people fill them in, read as numbers, days and text, or refused with a sentence."""

from __future__ import annotations

import re
from datetime import date, datetime

from service.sheets.safe_text import plain_text

_NUMBER = re.compile(r"-?[0-9]{1,9}(?:[.,][0-9]{1,9})?\Z")
_DAY = re.compile(r"[0-9]{4}-[0-9]{2}-[0-9]{2}\Z")


class NotReadable(ValueError):
    """A cell that is not what its column is for; the message is a sentence for whoever filled it in."""


def number_in(cell: object, least: float, most: float) -> float | None:
    """The number in a cell, also where it was typed as text, with a point or a comma; None for an empty one.

    Raises ``NotReadable`` for anything else and for a number that is out of bounds.
    """
    value = _bare(cell)
    if value is None:
        return None
    if isinstance(value, str) and _NUMBER.match(value):
        value = float(value.replace(",", "."))
    if isinstance(value, bool) or not isinstance(value, int | float):
        raise NotReadable("This is no number.")
    if not least <= value <= most:
        raise NotReadable(f"This is not between {least:g} and {most:g}.")
    return float(value)


def whole_in(cell: object, least: int, most: int) -> int | None:
    """The whole number in a cell; None for an empty one. Raises ``NotReadable``."""
    value = number_in(cell, least, most)
    if value is None:
        return None
    if value != int(value):
        raise NotReadable("This is no whole number.")
    return int(value)


def day_in(cell: object) -> str | None:
    """The day in a cell as ``YYYY-MM-DD``; None for an empty one. Raises ``NotReadable``."""
    value = _bare(cell)
    if value is None:
        return None
    if isinstance(value, datetime | date):
        return f"{value:%Y-%m-%d}" if value.year >= 1000 else _no_day()
    if isinstance(value, str) and _DAY.match(value):
        try:
            return date.fromisoformat(value).isoformat()
        except ValueError:
            return _no_day()
    return _no_day()


def text_in(cell: object, letters_most: int) -> str | None:
    """The text in a cell, a number as it is shown; None for an empty one. Raises ``NotReadable``."""
    value = _bare(cell)
    if value is None:
        return None
    if isinstance(value, float) and value == int(value):
        value = int(value)
    text = plain_text(str(value)).strip()
    if len(text) > letters_most:
        raise NotReadable(f"This is longer than {letters_most} letters.")
    return text


def _bare(cell: object) -> object:
    """The value without blanks around it; None where nothing but blanks is there."""
    if isinstance(cell, str):
        return cell.strip() or None
    return cell


def _no_day() -> str:
    raise NotReadable("This is no day such as 2026-11-25.")
