"""Workbooks under construction, in which no text that somebody typed becomes a formula, a link or a number."""

from __future__ import annotations

import io
from collections.abc import Mapping
from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from xlsxwriter import Workbook


def begun(stream: io.BytesIO, properties: Mapping[str, Any]) -> Workbook:
    """A workbook that is written to ``stream`` row by row; ``properties`` tell its title and the time it is made."""
    import xlsxwriter  # not needed before somebody asks for a workbook

    options = {
        "constant_memory": True,
        "strings_to_formulas": False,
        "strings_to_urls": False,
        "strings_to_numbers": False,
    }
    book = xlsxwriter.Workbook(stream, options)
    book.set_properties(dict(properties))
    return book
