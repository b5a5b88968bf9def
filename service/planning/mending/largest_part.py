"""The largest part of the work that does fit, and which bundles are left over."""

from __future__ import annotations

from collections.abc import Iterator, Sequence, Set
from dataclasses import replace
from itertools import combinations

from service.domain.plan import Reason
from service.domain.refusal import LargestPart
from service.planning.judge import rating_reasons
from service.planning.mending.part_search import PartSearch
from service.planning.mending.parts import Part, left_over, part_of, without_cables
from service.planning.mending.trial import Trial
from service.planning.ports import assign_ports
from service.planning.relaxing import EXPLAINING_NODES

CABLES_MOST = 10
"""Up to so many cables every choice of those that stay out is looked at; of more, a single one and a good many."""

CABLE_LIMITS = {"ports", "entries", "capacity", "express"}
"""Limits that ask for fewer cables, whatever is spliced."""

CHOICES_MOST = 6
"""How many choices of cables that stay out are followed up."""


def largest_part(trial: Trial, reasons: Sequence[Reason], whole: bool = False) -> LargestPart:
    """The part with the most splices that was found to fit the trial's closure, planned by itself.

    ``whole``: without dividing bundles that the rules keep together. Where entries, ratings or express storage bind,
    cables have to stay out, and all their splices with them.
    """
    total = trial.work.splices
    best: LargestPart | None = None
    at_most = 0
    limits = {reason.limit for reason in reasons}
    for followed, (lost, tags) in enumerate(_choices(trial, limits)):
        if best is not None and (total - lost <= best.splices or followed == CHOICES_MOST):
            at_most = max(at_most, total - lost)
            break
        found, bound = _without(trial, frozenset(tags), whole)
        at_most = max(at_most, bound)
        if best is None or (found is not None and found.splices > best.splices):
            best = found or _nothing(trial)
    best = best or _nothing(trial)
    if not _every_choice(trial) and limits & CABLE_LIMITS:
        at_most = total
    at_most = max(min(at_most, total), best.splices)
    return replace(best, at_most=at_most, proven=best.splices == at_most)


def _nothing(trial: Trial) -> LargestPart:
    bundles = trial.work.bundles
    return LargestPart(trial.closure.code, 0, 0, True, left_over(bundles, (0,) * len(bundles)))


def _without(trial: Trial, tags: frozenset[str], whole: bool) -> tuple[LargestPart | None, int]:
    """The largest part without some cables, None where none was shown to fit; and a bound on all such parts."""
    work, stay = without_cables(trial.work, tags)
    search = PartSearch(trial, work, whole)
    search.run()
    if not sum(search.best):
        return None, search.at_most
    cables = {tag: cable for tag, cable in trial.cables.items() if tag not in tags}
    # Whatever the search has taken, what it found is held against every limit.
    verdict = replace(trial, nodes_left=EXPLAINING_NODES).judged(work=part_of(work, search.best), cables=cables)
    if verdict is None or not verdict.fits:
        return None, search.at_most
    counts = dict(zip(stay, search.best, strict=True))
    part: Part = tuple(counts.get(place, 0) for place in range(len(trial.work.bundles)))
    left = left_over(trial.work.bundles, part)
    out = tuple(tag for tag in trial.cables if tag in tags)
    return LargestPart(trial.closure.code, sum(part), search.at_most, False, left, out), search.at_most


def _choices(trial: Trial, limits: Set[str]) -> Iterator[tuple[int, tuple[str, ...]]]:
    """Cables that stay out, with the splices lost by it: the fewest splices first, then the fewest cables."""
    if not limits & CABLE_LIMITS:
        yield 0, ()
        return
    # A cable that hangs already stays where it is: leaving it out would free nothing.
    tags = [tag for tag, (at_point, _) in trial.cables.items() if at_point.hanging is None]
    splices = {
        tag: sum(len(b.splices) for b in trial.work.bundles if tag in (b.from_cable, b.to_cable)) for tag in tags
    }
    # Those with most splices are let in first: with many cables not every choice can be looked at.
    let_in: list[str] = []
    for tag in sorted(tags, key=lambda tag: -splices[tag]):
        if _enter(trial, frozenset(tags) - {*let_in, tag}):
            let_in.append(tag)
    outs = {tuple(tag for tag in tags if tag not in let_in)}
    for size in range(len(tags) + (len(tags) < len(trial.cables)) if _every_choice(trial) else 2):
        outs.update(combinations(tags, size))
    choices = []
    for out in outs:
        chosen = set(out)
        lost = sum(len(b.splices) for b in trial.work.bundles if chosen & {b.from_cable, b.to_cable})
        choices.append((lost, len(out), [tags.index(tag) for tag in reversed(out)], out))
    choices.sort(key=lambda choice: (choice[0], choice[1], [-place for place in choice[2]]))
    for lost, _, _, out in choices:
        if lost < trial.work.splices and _enter(trial, frozenset(out)):
            yield lost, out


def _every_choice(trial: Trial) -> bool:
    return len(trial.cables) <= CABLES_MOST


def _enter(trial: Trial, out: frozenset[str]) -> bool:
    """Whether the cables that are not left out go in, and are rated for."""
    cables = {tag: cable for tag, cable in trial.cables.items() if tag not in out}
    rules = trial.request.rules
    if rating_reasons(trial.closure, cables, rules.rated_for_all, []):
        return False
    return assign_ports(trial.closure, list(cables.values()), rules.spare_entries).fits
