"""Text that somebody typed, made fit for a sheet: no control characters, and no formula where none was meant."""

from __future__ import annotations

from unicodedata import category

_LEADS = frozenset("=+-@\uff1d\uff0b\uff0d\uff20")
"""What a spreadsheet takes for the start of a formula, the full-width forms included (common practice, no source)."""


def plain_text(text: str) -> str:
    """The text on one line: line breaks and tabs become blanks, other control characters and halves of pairs go."""
    if text.isprintable():
        return text
    spaced = (" " if letter in "\t\n\v\f\r\x85\u2028\u2029" else letter for letter in text)
    return "".join(letter for letter in spaced if category(letter) not in ("Cc", "Cs") and letter not in "\ufffe\uffff")


def not_a_formula(text: str) -> str:
    """Plain text with an apostrophe before what a spreadsheet would take for a formula, blanks before it or not."""
    plain = plain_text(text)
    return f"'{plain}" if plain.lstrip()[:1] in _LEADS and plain.strip() else plain
