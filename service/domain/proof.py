"""How good a packing is, and how that was shown."""

from __future__ import annotations

from dataclasses import dataclass
from decimal import Decimal
from typing import Literal

Objective = Literal["cost", "height", "opened", "pieces"]
"""What is made least, in this order: new trays or their price, stack height, hanging trays opened, pieces."""

ShownBy = Literal[
    "trivial",
    "slots",
    "all_slots",
    "storage",
    "entries",
    "whole_splices",
    "whole_bundles",
    "dual_feasible_function",
    "labels",
    "fillings",
    "lowest_trays",
    "uncut",
    "measure",
    "together",
    "exhausted",
]
"""What shows that a value cannot be less than its bound.

``trivial``: nothing is less than none. ``slots``, ``all_slots``, ``storage``, ``entries``: what the splices take of it,
and the most that trays give which do better. ``whole_splices``: a channel takes a whole number of them.
``whole_bundles``: what bundles that stay whole can fill of slots or of a channel.
``dual_feasible_function``: bundles weighed by it. ``labels``: trays that keep-apart labels need for themselves.
``fillings``: bundles priced so that no filling of a tray is worth more than is told, every filling tried.
``lowest_trays``: as many of the lowest stand as high. ``uncut``: every bundle whole, or cut as little as can be.
``measure``: another weight of splices and trays, named in the text. ``together``: every choice of trays that does
better fails one need or another. ``exhausted``: every choice was tried.
"""


@dataclass(frozen=True, slots=True)
class ProvenBound:
    """The least that is proven for one value, and what shows it.

    ``value`` and ``lower_bound`` are in the units of the certificate: new trays or hundredths of their price, stack
    height in ``units_per_mm``, trays, pieces. Where ``need`` and ``most_with_less`` are told, the splices (and a
    reserve in the trays) need so much beyond what hanging trays give, and new trays that do better than the bound give
    no more than that. ``function`` and ``parameter`` name a dual feasible function, ``trays`` the kinds that labels
    were counted in. ``nodes``: of an exhaustive search; ``solver_used``: the last-resort solver had a part in it.
    """

    objective: Objective
    value: int
    lower_bound: int
    shown_by: ShownBy
    text: str
    slot_kind: str | None = None
    function: str | None = None
    parameter: int | None = None
    trays: tuple[str, ...] = ()
    need: int | None = None
    most_with_less: int | None = None
    nodes: int = 0
    solver_used: bool = False


@dataclass(frozen=True, slots=True)
class Proof:
    """How good the packing is, and how that was shown. ``cost`` is the price of the trays where price is minimised.

    ``optimal``: trays (or price), stack height, hanging trays opened, and pieces are each proven least, in that order.
    ``bounds`` tell the same objective by objective. ``solver_used``: a general solver, the last resort, had a part.
    """

    optimal: bool
    trays: int
    lower_bound: int
    stack_mm: float
    stack_lower_bound_mm: float
    opened: int
    opened_lower_bound: int
    pieces: int
    pieces_lower_bound: int
    method: str
    nodes: int
    cost: Decimal | None = None
    cost_lower_bound: Decimal | None = None
    bounds: tuple[ProvenBound, ...] = ()
    solver_used: bool = False
