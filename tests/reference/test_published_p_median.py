"""A published p-median problem with its optimum, against the choice of closure kinds, which is the same problem.

The network is ``pmed1`` of J. E. Beasley's OR-Library, from A note on solving large p-median problems, European Journal
of Operational Research 21 (1985) 270-273: 100 vertices, 200 edges, five medians. Its page (read) says that of an edge
told twice the last length counts, and that shortest paths make the costs. Its list of optima, ``pmedopt``, has 5819
(read in two places that copy it).
"""

from __future__ import annotations

from dataclasses import replace
from decimal import Decimal
from pathlib import Path

import numpy as np
from scipy.sparse.csgraph import floyd_warshall

from service.planning.closure_kinds import Offer, PointClass, choose_closure_kinds
from tests.planning.entries import closure

_NETWORK = Path(__file__).parent / "data" / "pmed1.txt"


def test_the_published_network_has_the_published_optimum() -> None:
    """Vertices as classes of one point and as models at once, lengths as prices: five models come to 5819."""
    lines = _NETWORK.read_text("utf-8").splitlines()
    (vertices, edges, medians), *told = ([int(word) for word in line.split()] for line in lines)
    assert (vertices, len(told), medians) == (100, edges, 5)
    lengths = np.full((vertices, vertices), np.inf)
    for one, other, length in told:
        lengths[one - 1, other - 1] = lengths[other - 1, one - 1] = length
    paths = floyd_warshall(lengths)
    closures = {f"v{place:03}": replace(closure(), code=f"v{place:03}") for place in range(vertices)}
    build = [
        PointClass(
            1, tuple(Offer(code, 1, Decimal(int(path)), "EUR") for code, path in zip(closures, row, strict=True))
        )
        for row in paths
    ]
    row = choose_closure_kinds(build, closures, medians, rows=1).chosen
    assert row is not None and row.optimal
    assert row.total == 5819
