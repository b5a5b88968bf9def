"""Text on its way into the database: documents, and what is searched without regard to case."""

from __future__ import annotations

import unicodedata
from collections.abc import Mapping
from typing import Any

import orjson
from sqlalchemy import ColumnElement
from sqlalchemy.orm import InstrumentedAttribute


def written(document: Mapping[str, Any]) -> str:
    """A document as JSON text, its members in the order given."""
    return orjson.dumps(document).decode()


def read(text: str) -> dict[str, Any]:
    """The document of a JSON text that ``written`` wrote."""
    document: dict[str, Any] = orjson.loads(text)
    return document


def folded(text: str) -> str:
    """Text in the form in which it is searched: composed, and without regard to case in any alphabet."""
    return unicodedata.normalize("NFC", text).casefold()


def keepable(text: str) -> bool:
    """Whether a database can hold the text at all: no NUL character and no half of a surrogate pair."""
    try:
        return b"\0" not in text.encode()
    except UnicodeEncodeError:
        return False


def contains(column: InstrumentedAttribute[str], text: str) -> ColumnElement[bool]:
    """Whether a folded column holds the text; ``%`` and ``_`` in it mean themselves."""
    return column.contains(folded(text), autoescape=True)
