"""Text that somebody typed, made fit for a sheet: no control characters, and no formula where none was meant."""

from __future__ import annotations

from unicodedata import category

_LEADS = frozenset("=+-@\uff1d\uff0b\uff0d\uff20")
"""What a spreadsheet takes for the start of a formula, the full-width forms included (common practice, no source)."""

TURNING = frozenset("\u202a\u202b\u202c\u202d\u202e\u2066\u2067\u2068\u2069")
"""Turns the order in which what follows is shown, beyond the text itself (Unicode Standard Annex 9, from memory)."""


def plain_text(text: str) -> str:
    """The text on one line: line breaks and tabs become blanks, other control characters and halves of pairs go.

    So does what would turn the text beside it around. Scripts that are read from the right need none of it.
    """
    if text.isprintable():
        return text
    spaced = (" " if letter in "\t\n\v\f\r\x85\u2028\u2029" else letter for letter in text)
    return "".join(letter for letter in spaced if not _unfit(letter))


def not_a_formula(text: str) -> str:
    """Plain text with an apostrophe before what a spreadsheet would take for a formula, blanks before it or not.

    After a semicolon as well: where people write numbers with a comma, spreadsheets take that for the end of a cell.
    """
    plain = plain_text(text)
    if _LEADS.isdisjoint(plain):
        return plain
    return ";".join(f"'{part}" if _leads(part) else part for part in plain.split(";"))


def _leads(part: str) -> bool:
    """Whether the first letter that can be seen is one that a formula begins with."""
    return next((letter in _LEADS for letter in part if not letter.isspace() and category(letter) != "Cf"), False)


def _unfit(letter: str) -> bool:
    return category(letter) in ("Cc", "Cs") or letter in TURNING or letter in "\ufffe\uffff"
