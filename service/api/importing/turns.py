"""Workbooks are read one at a time in a process: one as large as it may be takes some 240 MB while it is read."""

from __future__ import annotations

import threading
from collections.abc import Sequence

from service.api.problems import Problem
from service.sheets.tabular.reading import TablesRead, read_workbook
from service.sheets.tabular.shape import Table

WAIT_S = 20.0
_turn = threading.Lock()


def read_in_turn(content: bytes, tables: Sequence[Table], wait_s: float = WAIT_S) -> TablesRead:
    """Read a workbook when no other is being read; raises ``NotATable``, and the 503 problem where that takes long."""
    if not _turn.acquire(timeout=wait_s):
        detail = "Other workbooks are being read just now. Send it again in a moment."
        raise Problem("unavailable", detail, headers={"Retry-After": "5"})
    try:
        return read_workbook(content, tables)
    finally:
        _turn.release()
