"""A packing made in haste, less what it has for nothing."""

from __future__ import annotations

from dataclasses import replace

from service.planning.packing.case import Case
from service.planning.packing.drafts import Draft


def lightened(case: Case, draft: Draft) -> Draft:
    """The draft without new trays in which nothing lies; unchanged where trays are kept free for a reserve.

    A packing whose weight is proven has no such tray, for it would weigh less without.
    """
    if case.used != case.needed or case.spare:
        return draft
    kept = [n for n, tray in enumerate(draft.trays) if tray.pieces or tray.hanging >= 0]
    idle = sum(case.berths[tray.berth].weight for tray in draft.trays if not tray.pieces and tray.hanging < 0)
    return replace(
        draft,
        weight=draft.weight - idle,
        trays=tuple([draft.trays[n] for n in kept]),
        settings=tuple([draft.settings[n] for n in kept]),
    )
