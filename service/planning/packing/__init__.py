"""The packing core: which trays, and which splices lie in which of them. Pure, deterministic, integers only."""

from service.planning.packing.core import NODE_LIMIT, solve
from service.planning.packing.problem import (
    Bounds,
    Evidence,
    HangingTray,
    Item,
    PackedTray,
    Packing,
    Piece,
    Problem,
    TrayKind,
)

__all__ = [
    "NODE_LIMIT",
    "Bounds",
    "Evidence",
    "HangingTray",
    "Item",
    "PackedTray",
    "Packing",
    "Piece",
    "Problem",
    "TrayKind",
    "solve",
]
