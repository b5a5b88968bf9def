"""The form of a fit check as it was filled in: its texts by the names of its fields, blank ones by their defaults.

The same form asks for more in a closure that hangs: then the cables that hang there can be joined too.
"""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import dataclass
from string import ascii_uppercase

from service.domain.installation import HungCable

CABLES_MOST = 40
JOINTS_MOST = 100
"""Rows of a form; who has more of them writes to the API."""

_FIRST_CABLES, _FIRST_JOINTS = 2, 1
_NUMBER = re.compile(r"-?[0-9]{1,12}(?:\.[0-9]{1,9})?\Z")


@dataclass(frozen=True, slots=True)
class Filled:
    """The texts of the form's fields and how many rows of cables and of joints it shows.

    ``hanging`` are the cables of the closure that is added to, none where a new one is asked for.
    """

    texts: Mapping[str, str]
    cables: int
    joints: int
    hanging: tuple[HungCable, ...] = ()

    def text(self, name: str, default: str = "") -> str:
        """What stands in a field, without the space around it."""
        return self.texts.get(name, default).strip()

    def tag(self, row: int) -> str:
        """The tag of a cable: as it was typed, else A, B, C … as the rows go, and after these K27.

        No tag that hangs is given again.
        """
        taken = {cable.tag for cable in self.hanging}
        free = [letter for letter in ascii_uppercase if letter not in taken]
        return self.text(f"tag-{row}") or (free[row - 1] if row <= len(free) else f"K{row}")

    def side(self, row: int, side: str) -> str:
        """The tag that a side of a joint names: the first cable's on the one, the second one's on the other.

        In a closure that hangs: its first cable's on the one, the first new one's on the other.
        """
        if self.hanging:
            return self.text(f"{side}-{row}") or (self.tags[0] if side == "from" else self.tag(1))
        return self.text(f"{side}-{row}") or self.tag(1 if side == "from" else 2)

    def range(self, row: int, side: str) -> str:
        """The numbers of a side of a joint; in the first joint of an untouched form 1 to 12."""
        return self.text(f"{side}-range-{row}", "1-12" if row == 1 and not self.hanging else "")

    @property
    def tags(self) -> list[str]:
        """The tags that joints can name: of the cables that hang and were not given up, and of all rows of cables."""
        hanging = [cable.tag for cable in self.hanging if not cable.abandoned]
        return hanging + [self.tag(row) for row in range(1, self.cables + 1)]

    @property
    def any_express(self) -> bool:
        """Whether a cable passes through, and joints therefore have to say which end they mean."""
        hanging = any(cable.express for cable in self.hanging)
        return hanging or any(self.text(f"express-{row}") for row in range(1, self.cables + 1))


def filled(texts: Mapping[str, str], hanging: tuple[HungCable, ...] = ()) -> Filled:
    """The form with these texts; one row more where that was asked for."""
    cables = _rows(texts, "cables", 1 if hanging else _FIRST_CABLES)
    joints = _rows(texts, "joints", _FIRST_JOINTS)
    more = texts.get("more")
    cables, joints = cables + (more == "cable"), joints + (more == "joint")
    return Filled(texts, min(cables, CABLES_MOST), min(joints, JOINTS_MOST), hanging)


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
