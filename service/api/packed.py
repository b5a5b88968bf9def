"""Bodies that come packed with gzip (RFC 9110, section 8.4; RFC 1952), unpacked while they are read.

A packed byte can stand for a thousand. So what comes out is counted against the same limit as a body that was sent as
it is, and no more than a block of it is ever in memory.
"""

from __future__ import annotations

import io
import zlib
from typing import IO

from service.api.problems import Problem

_BLOCK = 16 * 1024
_GZIP_FORM = 16 + zlib.MAX_WBITS
"""Tells zlib to expect the head and the sums of gzip."""

MEMBER_COST = 1024
"""Counted for each part of which a packed body is made up, in bytes: empty ones are work too."""


class Unpacked(io.RawIOBase):
    """What is packed in a stream of one or more gzip members, to be read once.

    ``length`` are the bytes of the stream where its sender has told them, ``most`` the bytes that may come out of it.
    Reading raises the 413 problem beyond these, and the 400 problem where the stream ends too soon, goes on after its
    end, or is not what its own sums say.
    """

    def __init__(self, packed: IO[bytes], length: int | None, most: int) -> None:
        self._packed, self._to_come, self._most, self._left = packed, length, most, most
        self._held = b""
        self._member: zlib._Decompress | None = None
        self._begun = False

    def readable(self) -> bool:
        """It is for reading."""
        return True

    def read(self, size: int = -1) -> bytes:
        """At most so many bytes, all that are left where no size is told; none at the end alone."""
        if size >= 0:
            return self._piece(size) if size else b""
        pieces = []
        while piece := self._piece(_BLOCK * 4):
            pieces.append(piece)
        return b"".join(pieces)

    def _piece(self, size: int) -> bytes:
        while True:
            if self._member is None and not self._begin():
                return b""
            assert self._member is not None
            packed = self._held or self._more()
            try:
                piece = self._member.decompress(packed, size)
            except zlib.error:
                raise _broken("It is not what gzip makes, or was changed on its way.") from None
            self._held = self._member.unconsumed_tail
            if self._member.eof:
                self._held, self._member = self._member.unused_data, None
            elif not packed and not piece:
                raise _broken("It breaks off before its end.")
            if piece:
                self._count(len(piece))
                return piece

    def _begin(self) -> bool:
        """Begin with the next member, if there is one."""
        self._held = self._held or self._more()
        if not self._held:
            if not self._begun:
                raise _broken("It is empty.")
            if self._to_come:
                raise _broken("It breaks off before its end.")
            return False
        self._begun, self._member = True, zlib.decompressobj(_GZIP_FORM)
        self._count(MEMBER_COST)
        return True

    def _more(self) -> bytes:
        packed = self._packed.read(_BLOCK)
        if self._to_come is not None:
            self._to_come -= len(packed)
        return packed

    def _count(self, size: int) -> None:
        self._left -= size
        # The cost of its first member is no part of a body.
        if self._left < -MEMBER_COST:
            raise Problem("too-large", f"A body has at most {self._most} bytes here, unpacked.")


def _broken(why: str) -> Problem:
    return Problem("badly-packed", f"The body cannot be unpacked. {why}")
