"""Plain text for a screen of 88 columns: headings, wrapped sentences, columns."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from decimal import Decimal
from textwrap import wrap

WIDTH = 88
"""Widest line of a sheet, in characters; a word longer than that stays whole."""


def number(value: float | Decimal) -> str:
    """A figure with one decimal at most, and none where it is whole: ``12``, ``3.4``."""
    text = f"{value:.1f}"
    return text[:-2] if text.endswith(".0") else text


def quantity(value: Decimal) -> str:
    """A quantity as it was counted, without trailing noughts: ``0.04``, ``12``."""
    text = f"{value:f}"
    return text.rstrip("0").rstrip(".") if "." in text else text


def counted(count: int, one: str, many: str | None = None) -> str:
    """A count with its noun: ``1 tray``, ``3 trays``."""
    return f"{count} {one if count == 1 else many or one + 's'}"


def listed(words: Sequence[str]) -> str:
    """Words as a sentence lists them: ``A``, ``A and B``, ``A, B and C``."""
    if len(words) < 2:
        return "".join(words)
    return f"{', '.join(words[:-1])} and {words[-1]}"


def sentence(text: str) -> str:
    """A text with a capital first and a full stop last, as a line of its own."""
    if not text:
        return text
    text = text[0].upper() + text[1:]
    return text if text.endswith((".", "!", "?", ":")) else f"{text}."


def paragraph(text: str, indent: int = 2, hang: int = 0) -> list[str]:
    """A text wrapped to the sheet, all lines indented, those after the first by ``hang`` more."""
    return wrap(
        text,
        WIDTH,
        initial_indent=" " * indent,
        subsequent_indent=" " * (indent + hang),
        break_long_words=False,
        break_on_hyphens=False,
    )


def bullets(texts: Iterable[str]) -> list[str]:
    """One wrapped sentence a text, led by a dash."""
    return [line for text in texts for line in paragraph(f"- {sentence(text)}", 2, 2)]


def items(texts: Iterable[str]) -> list[str]:
    """One wrapped item a text, led by a dash; for texts that begin with a code or tag, whose letters must stay."""
    return [line for text in texts for line in paragraph(f"- {text}", 2, 2)]


def section(title: str, lines: Sequence[str]) -> list[str]:
    """A headed part of the sheet with an empty line before it; nothing where it has no lines."""
    return ["", title, *lines] if lines else []


def columns(rows: Sequence[Sequence[str]], right: Iterable[int] = (), indent: int = 2, width: int = WIDTH) -> list[str]:
    """Rows as columns two spaces apart; those numbered in ``right`` end flush, the last one wraps.

    All rows have as many cells; the first row may be a head. A line break in the last cell is kept.
    """
    if not rows:
        return []
    flush = set(right)
    last = len(rows[0]) - 1
    widths = [max(len(row[place]) for row in rows) for place in range(last)]
    lines = []
    for row in rows:
        cells = [
            row[place].rjust(widths[place]) if place in flush else row[place].ljust(widths[place])
            for place in range(last)
        ]
        start = "  ".join([" " * indent + cells[0], *cells[1:]]) + "  " if cells else " " * indent
        room = max(width - len(start), 20)
        parts = [
            part
            for line in row[last].split("\n")
            for part in wrap(line, room, break_long_words=False, break_on_hyphens=False) or [""]
        ]
        lines.append((start + parts[0]).rstrip())
        lines.extend(" " * len(start) + part for part in parts[1:])
    return lines
