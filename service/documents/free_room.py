"""The room that is left in a hung closure, as answers tell it. What the catalogue sets no limit to is left out."""

from __future__ import annotations

from collections.abc import Iterable
from typing import Any

from service.documents.numbers import plain, rounded
from service.domain.addition import FreeRoom, TrayRoom

Document = dict[str, Any]


def free_room_to(room: FreeRoom) -> Document:
    """Write the room that is left."""
    return {
        "slots": [{"slot_kind": each.slot_kind, "free": each.free, "unset": each.unset} for each in room.slots],
        "trays": [_tray_to(tray) for tray in room.trays],
        "ports": [
            {
                "port": port.port,
                "od_min_mm": plain(port.od_min_mm),
                "od_max_mm": plain(port.od_max_mm),
                "cables": port.cables,
            }
            for port in room.ports
        ],
        "stack_left_mm": rounded(room.stack_left_mm),
        "trays_to_add": [{"tray": each.tray, "most": each.most} for each in room.trays_to_add],
    }


def _tray_to(tray: TrayRoom) -> Document:
    document: Document = {
        "position": tray.position,
        "tray": tray.tray,
        "keep_apart": tray.keep_apart,
        "slots": _by_kind(tray.slots),
        "unset": [{"bank": bank, "slots": _by_kind(slots)} for bank, slots in tray.unset],
    }
    if tray.storage_left_mm2 is not None:
        document["storage_left_mm2"] = rounded(tray.storage_left_mm2)
    if tray.ribbons_left is not None:
        document["ribbons_left"] = tray.ribbons_left
    return document


def _by_kind(slots: Iterable[tuple[str, int]]) -> dict[str, int]:
    return dict(sorted(slots))
