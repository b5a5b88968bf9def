"""How much planning one request may cause: each closure that it names or leaves open is judged with all its splices."""

from __future__ import annotations

from service.domain.faults import Fault
from service.planning.packing import NODE_LIMIT

JUDGED_MOST = 1_005_000
"""Splices times closures of one request, so that the most splices of one are judged in a hundred closures: 4 s of CPU
where they are ordinary; the dearest that were made up (24 labels, roomy closures) take some 24 µs each."""

A_CLOSURE = 50
"""What it counts to judge a closure, in splices, beside those of the work."""

NODES_IN_ALL = 16 * NODE_LIMIT
"""The search steps of all closures of a request together. Most take none to speak of; where sixteen took all of theirs,
the others have to do with ``NODES_LEAST``, and what they cannot prove with these is told as not proven."""

NODES_LEAST = 200


def closures_most(splices: int) -> int:
    """In how many closures so many splices may be judged at a time."""
    return max(1, JUDGED_MOST // (splices + A_CLOSURE))


def faults_of_effort(splices: int, closures: int) -> list[Fault]:
    """What is wrong with judging so many splices in so many closures, if anything."""
    most = closures_most(splices)
    if closures <= most:
        return []
    told = f"{splices} splices are judged in at most {most} closures at a time, not in {closures}"
    return [Fault("/closures", "too_many", f"{told}: name those to choose from")]
