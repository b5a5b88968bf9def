"""A workbook's parts, given out as long as what is made of them stays within bounds.

A workbook of 60 kB can unpack to millions of elements, and one sheet of it can be asked for a thousand times. What a
reader does with a part is proportional to its elements, so these are counted, over all that is read.
"""

from __future__ import annotations

import io
import zipfile
from collections.abc import Iterator
from contextlib import contextmanager
from typing import IO, TYPE_CHECKING, Any, cast

if TYPE_CHECKING:
    from openpyxl.workbook import Workbook

MARKS_MOST = 4_000_000
"""The angle brackets of what is read. A filled cell has four: so it is a million cells, ten in each row of a file."""

_OPENING, _BYTES_A_MARK = 1_000, 64
_BLOCK = 1024 * 1024
_STRING, _DESCRIBED = 3, 10
"""So many times as much work is an element of the shared strings, and one of styles, names or relations."""


TOO_MUCH = "There is more in this workbook than is read: too many cells, strings, formats or sheets."


class TooMuch(Exception):
    """There is more in the workbook than is read."""


class CountedArchive(zipfile.ZipFile):
    """The parts of a workbook; reading them raises ``TooMuch`` beyond ``most`` opening brackets, all readings added."""

    def __init__(self, content: bytes, most: int = MARKS_MOST) -> None:
        super().__init__(io.BytesIO(content))
        self._left, self._weight = most, 1

    @contextmanager
    def weighing(self, weight: int) -> Iterator[None]:
        """Count what is read meanwhile so many times."""
        before, self._weight = self._weight, weight
        try:
            yield
        finally:
            self._weight = before

    def open(self, name: Any, *how: Any, **more: Any) -> IO[bytes]:
        """A part to be read."""
        self.count(_OPENING)
        return cast(IO[bytes], _Counted(super().open(name, *how, **more), self))

    def read(self, name: Any, pwd: bytes | None = None) -> bytes:
        """A whole part: one that objects are made of, an object an element."""
        with self.weighing(_DESCRIBED):
            return super().read(name, pwd)

    def count(self, work: int) -> None:
        """Count some work."""
        self._left -= work * self._weight
        if self._left < 0:
            raise TooMuch


class _Counted(io.RawIOBase):
    def __init__(self, part: IO[bytes], archive: CountedArchive) -> None:
        self._part, self._archive = part, archive

    def read(self, size: int = -1) -> bytes:
        # More than was asked for: some parsers begin a long tag anew with every block of it that comes.
        block = self._part.read(size if size < 0 else max(size, _BLOCK))
        marks = block.count(b"<")
        if not marks and len(block) >= _BLOCK:
            # No text of a cell is so long, and no tag.
            raise TooMuch
        self._archive.count(marks + len(block) // _BYTES_A_MARK)
        return block

    def close(self) -> None:
        self._part.close()
        super().close()


def opened_workbook(content: bytes) -> tuple[Workbook, CountedArchive]:
    """The workbook, to be read once, and its parts. Raises ``TooMuch``, also while its rows are read, and much else."""
    from openpyxl.reader.excel import ExcelReader  # takes its time, and is needed by whoever sends a workbook alone

    archive = CountedArchive(content)

    class Reader(ExcelReader):
        def read_strings(self) -> None:
            with archive.weighing(_STRING):
                super().read_strings()

    reader = Reader(io.BytesIO(content), read_only=True, data_only=False, keep_links=False)
    reader.archive.close()
    reader.archive = archive
    reader.read()
    return reader.wb, archive
