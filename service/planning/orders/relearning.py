"""The rates behind an order's spares, learned anew from the records that there are when it is made."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable
from dataclasses import replace

from service.domain.records import Tally
from service.domain.rework import Given, Learned, Rework
from service.planning.orders.needs import Sources
from service.planning.orders.summing import SourceSum
from service.planning.recording.learning import by_form, learned_of_sleeves
from service.standards.methods import PRIOR_JOINTS


def relearned(sources: Sources, recorded: Iterable[Tally]) -> Sources:
    """The sources with their rates learned anew; what their plans carry each on its own is left as it is.

    What a plan took for given is what was known before any record, worth ``PRIOR_JOINTS`` joints; a rate that it had
    learned keeps its own prior. Remakes that cost the sleeve are counted. A rate of which it is not told whose it is,
    from a plan of an earlier version, stays as it is.
    """
    tallies = by_form(recorded)

    def learn(rework: Rework) -> Rework:
        if not isinstance(rework, Given | Learned):
            return rework
        known = tallies.get(rework.form, Tally(rework.form, 0, 0, 0))
        prior = (rework.prior, rework.prior_joints) if isinstance(rework, Learned) else (rework.rate, PRIOR_JOINTS)
        return learned_of_sleeves(known, *prior)

    def anew(summed: SourceSum) -> SourceSum:
        sleeves = {}
        for code, total in summed.sleeves.items():
            groups: Counter[Rework] = Counter()
            for rework, splices in total.groups.items():
                groups[learn(rework)] += splices
            sleeves[code] = replace(total, groups=groups)
        return replace(summed, sleeves=sleeves)

    return [(source, anew(summed)) for source, summed in sources]
