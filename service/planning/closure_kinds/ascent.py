"""Good shares without a solver: steps along the subgradient of the bound.

After M. Held, P. Wolfe and H. Crowder, Validation of subgradient optimization (1974), from memory.
"""

from __future__ import annotations

import numpy as np
import numpy.typing as npt

from service.planning.closure_kinds.aim import Aim

Shares = npt.NDArray[np.float64]

_PATIENCE = 12


def ascended(aim: Aim, known: int, steps: int, start: Shares | None = None) -> Shares:
    """The shares with the best bound met in so many steps; ``known`` is what a known choice costs.

    ``start``: shares to begin with, those of a larger aim that this one is a part of; without them none has any.

    Floating point: what comes out is a proposal, and :mod:`bound` makes whole numbers of it.
    """
    # Models by rows: the few at the top are summed up in every step, which is quick where each lies in one piece.
    holds = np.ascontiguousarray(aim.within.T, dtype=np.float64)
    weights = aim.weights.astype(np.float64)
    # Weights differ by orders of magnitude, and so do good shares: steps in proportion to the root of a weight.
    pace = np.sqrt(np.minimum(weights, max(float(known), 1.0)))
    shares = np.zeros(len(weights)) if start is None else np.minimum(start, weights)
    best, best_shares = -np.inf, shares
    stride, idle = 1.0, 0
    for _ in range(steps):
        worths = holds @ shares
        top = np.argsort(-worths, kind="stable")[: aim.most]
        bound = float(aim.floor + shares.sum() - worths[top].sum())
        if bound > best + 1e-7 * abs(known):
            best, best_shares, idle = bound, shares, 0
        elif (idle := idle + 1) == _PATIENCE:
            stride, idle, shares = stride / 2, 0, best_shares
        slope = 1.0 - holds[top].sum(axis=0)
        slope[(shares <= 0) & (slope < 0)] = 0.0
        slope[(shares >= weights) & (slope > 0)] = 0.0
        paced = slope * pace
        steep = float(slope @ paced)
        if steep <= 0 or known - best < 0.5:
            break
        paced *= stride * max(known - bound, 0.0) / steep
        paced += shares
        shares = np.minimum(np.maximum(paced, 0.0, out=paced), weights, out=paced)
    return best_shares
