"""The form of a fit check as it was filled in: its texts by the names of its fields, blank ones by their defaults."""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import dataclass

CABLES_MOST = 40
JOINTS_MOST = 100
"""Rows of a form; who has more of them writes to the API."""

_FIRST_CABLES, _FIRST_JOINTS = 2, 1
_NUMBER = re.compile(r"-?[0-9]{1,12}(?:\.[0-9]{1,9})?\Z")


@dataclass(frozen=True, slots=True)
class Filled:
    """The texts of the form's fields and how many rows of cables and of joints it shows."""

    texts: Mapping[str, str]
    cables: int
    joints: int

    def text(self, name: str, default: str = "") -> str:
        """What stands in a field, without the space around it."""
        return self.texts.get(name, default).strip()

    def tag(self, row: int) -> str:
        """The tag of a cable: as it was typed, else A, B, C … as the rows go, and from the 27th on K27."""
        return self.text(f"tag-{row}") or (chr(ord("A") + row - 1) if row <= 26 else f"K{row}")

    def side(self, row: int, side: str) -> str:
        """The tag that a side of a joint names: the first cable's on the one, the second one's on the other."""
        return self.text(f"{side}-{row}") or self.tag(1 if side == "from" else 2)

    def range(self, row: int, side: str) -> str:
        """The numbers of a side of a joint; in the first joint of an untouched form 1 to 12."""
        return self.text(f"{side}-range-{row}", "1-12" if row == 1 else "")

    @property
    def tags(self) -> list[str]:
        """The tags of all rows of cables, which joints can name."""
        return [self.tag(row) for row in range(1, self.cables + 1)]

    @property
    def any_express(self) -> bool:
        """Whether a cable passes through, and joints therefore have to say which end they mean."""
        return any(self.text(f"express-{row}") for row in range(1, self.cables + 1))


def filled(texts: Mapping[str, str]) -> Filled:
    """The form with these texts; one row more where that was asked for."""
    cables, joints = _rows(texts, "cables", _FIRST_CABLES), _rows(texts, "joints", _FIRST_JOINTS)
    more = texts.get("more")
    cables, joints = cables + (more == "cable"), joints + (more == "joint")
    return Filled(texts, min(cables, CABLES_MOST), min(joints, JOINTS_MOST))


def number_in(text: str) -> float | int | str:
    """A number as it is typed, with a point or a comma; a text that is none stays as it is, to be refused."""
    plain = text.replace(",", ".")
    if not _NUMBER.match(plain):
        return text
    return float(plain) if "." in plain else int(plain)


def range_in(text: str) -> str:
    """Numbers as they are typed on a phone, ``1 – 4; 9``, as ranges are written: ``1-4,9``."""
    return re.sub(r"\s+", "", text).replace("–", "-").replace(";", ",")


def _rows(texts: Mapping[str, str], name: str, least: int) -> int:
    text = texts.get(name, "")
    return max(least, int(text)) if text.isascii() and text.isdigit() and len(text) < 4 else least
