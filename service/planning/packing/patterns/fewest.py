"""The fewest pieces by whole fillings: how many cuts are needed, each number of them ruled out in whole numbers."""

from __future__ import annotations

from collections.abc import Sequence

from service.planning.packing.budget import Budget, OutOfNodesError
from service.planning.packing.case import LOOSE, Case
from service.planning.packing.drafts import Draft
from service.planning.packing.mixes import Mix
from service.planning.packing.patterns.asking import FEWEST_NODES
from service.planning.packing.patterns.branching import Brancher
from service.planning.packing.patterns.generating import relaxed
from service.planning.packing.patterns.joining import parts_joined
from service.planning.packing.patterns.master import Master
from service.planning.packing.patterns.parts import model_of_parts
from service.planning.packing.patterns.pricing import Pricing


def fewest_by_fillings(
    case: Case, draft: Draft, mixes: Sequence[Mix], least: int, nodes: int
) -> tuple[Draft, int] | None:
    """The best packing into one of the mixes, all as light as ``draft``, and the pieces that any of them has.

    There are ``least`` pieces at least. None where it is not asked: hanging trays, no solver, hardly any nodes.
    """
    if case.has_hanging or nodes < FEWEST_NODES:
        return None
    budget = Budget(nodes)
    bundles = sum([1 for size, cut in zip(case.sizes, case.cut_of, strict=True) if size and cut != LOOSE])
    proven = True
    pieces = bound = least
    try:
        while pieces < draft.pieces:
            cuts = pieces - bundles
            model = model_of_parts(case, cuts)
            if model is None:
                return draft, bound
            master, pricing = Master(model), Pricing(model)
            brancher = Brancher(master, pricing, budget, parts_joined)
            for mix in mixes:
                master.aim(master.costs, None, mix, cuts)
                if relaxed(master, pricing, mix, budget).need is not None:
                    continue
                try:
                    found = brancher.room(draft.weight, mix)
                except OutOfNodesError:
                    if budget.left <= 0:
                        raise
                    proven = False
                    continue
                if found is not None and found.pieces < draft.pieces:
                    draft = found
                if draft.pieces <= pieces:
                    break
            pieces += draft.pieces > pieces
            bound = pieces if proven else bound
    except ImportError:
        return None
    except OutOfNodesError:
        pass
    return draft, bound
