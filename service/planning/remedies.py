"""The smallest changes that would make the work fit, each shown by solving again."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import replace

from service.domain.catalogue import Catalogue
from service.domain.plan import Remedy
from service.domain.request import PlanRequest
from service.domain.splices import Bundle, Work
from service.planning.express_room import CablesByTag
from service.planning.judge import Verdict, judge
from service.planning.ranking import judge_all
from service.planning.stowage import Stowage


def remedies(
    request: PlanRequest,
    work: Work,
    catalogue: Catalogue,
    stowage: Stowage,
    cables: CablesByTag,
    verdict: Verdict,
    others_judged: bool,
) -> Iterator[Remedy]:
    """Changes to request or closure that make it fit, least upheaval first; every one verified."""
    rules = request.rules
    closure = verdict.closure

    def fits(request: PlanRequest, work: Work = work, closure_now: object = closure) -> bool:
        return judge(closure_now, request, work, catalogue, stowage_for(request), cables, explain=False).fits  # type: ignore[arg-type]

    def stowage_for(asked: PlanRequest) -> Stowage:
        if asked.rules is rules:
            return stowage
        return Stowage(asked.rules, catalogue, {tag: cable for tag, (_, cable) in cables.items()})

    limits = {reason.limit for reason in verdict.reasons}
    if rules.reserve.percent > 0 and limits & {"stack", "tray_count"}:
        yield from _smaller_reserve(request, fits)
    if rules.split != "free" and limits & {"stack", "tray_count", "split", "storage", "keep_apart"}:
        freed = replace(request, rules=replace(rules, split="free"))
        if fits(freed):
            yield Remedy("split", "free", True, "divide bundles between trays (split rule: free)")
    if "keep_apart" in limits:
        yield from _labels_given_up(request, work, fits)
    if limits & {"storage", "bend"}:
        yield from _fewer_remakes(request, fits)
    if limits & {"stack", "tray_count"}:
        yield from _more_room(verdict, catalogue, lambda changed: fits(request, closure_now=changed))
    if not others_judged:
        wide = replace(request, closures=tuple(sorted(set(catalogue.closures) - set(request.closures))))
        if wide.closures and not request.existing_trays:
            best = judge_all(wide, work, catalogue, stowage, cables)[0]
            if best.fits:
                yield Remedy("closure", best.closure.code, True, f"take closure {best.closure.code}: it holds all")
    if limits & {"stack", "tray_count", "storage", "keep_apart", "split"}:
        yield from _fewer_splices(work, lambda part: fits(request, part))


def _smaller_reserve(request: PlanRequest, fits: Callable[[PlanRequest], bool]) -> Iterator[Remedy]:
    """The largest whole percentage of reserve that fits (a smaller reserve never needs more room)."""

    def with_percent(percent: int) -> PlanRequest:
        reserve = replace(request.rules.reserve, percent=float(percent))
        return replace(request, rules=replace(request.rules, reserve=reserve))

    if not fits(with_percent(0)):
        return
    low, high = 0, -int(-request.rules.reserve.percent // 1)
    while high - low > 1:
        middle = (low + high) // 2
        low, high = (middle, high) if fits(with_percent(middle)) else (low, middle)
    yield Remedy("reserve", str(low), True, f"keep a reserve of {low} % instead of {request.rules.reserve.percent:g} %")


def _labels_given_up(request: PlanRequest, work: Work, fits: Callable[..., bool]) -> Iterator[Remedy]:
    """A single keep-apart label whose giving up is enough."""
    for label in dict.fromkeys(bundle.label for bundle in work.bundles if bundle.label is not None):
        mixed = replace(work, bundles=tuple(replace(b, label=None) if b.label == label else b for b in work.bundles))
        if fits(request, mixed):
            yield Remedy("keep_apart", label, True, f"let the splices of {label!r} share trays with others")


def _fewer_remakes(request: PlanRequest, fits: Callable[[PlanRequest], bool]) -> Iterator[Remedy]:
    """The most remakes for which the shorter slack can be stored."""
    for remakes in range(request.rules.remakes - 1, -1, -1):
        if fits(replace(request, rules=replace(request.rules, remakes=remakes))):
            text = f"plan slack for {remakes} remakes instead of {request.rules.remakes}"
            yield Remedy("remakes", str(remakes), True, text)
            return


def _more_room(verdict: Verdict, catalogue: Catalogue, fits: Callable[[object], bool]) -> Iterator[Remedy]:
    """One more position for a tray that the closure takes: higher stack, or one more of the kind."""
    closure = verdict.closure
    for place, allowance in enumerate(closure.trays):
        tray = catalogue.trays.get(allowance.tray)
        if tray is None:
            continue
        trays = tuple(
            replace(each, most=each.most + 1) if number == place else each for number, each in enumerate(closure.trays)
        )
        limits = {reason.limit for reason in verdict.reasons}
        higher = closure.stack_mm + tray.pitch_mm if "stack" in limits else closure.stack_mm
        more = trays if "tray_count" in limits else closure.trays
        if fits(replace(closure, stack_mm=higher, trays=more)):
            text = f"room for one more tray {tray.code} ({tray.pitch_mm:g} mm) would be enough"
            yield Remedy("stack" if "stack" in limits else "tray_count", tray.code, True, text)
            return


def _fewer_splices(work: Work, fits: Callable[[Work], bool]) -> Iterator[Remedy]:
    """How many splices, taken in the order of the joints, do fit."""
    low, high = 0, work.splices
    while high - low > 1:
        middle = (low + high) // 2
        low, high = (middle, high) if fits(_first(work, middle)) else (low, middle)
    if low:
        text = f"the first {low} of {work.splices} splices fit; the others need a closure of their own"
        yield Remedy("splices", str(low), True, text)


def _first(work: Work, count: int) -> Work:
    """The work's first splices; a bundle that is cut off keeps its first ones."""
    bundles: list[Bundle] = []
    for bundle in work.bundles:
        if count <= 0:
            break
        bundles.append(replace(bundle, splices=bundle.splices[:count]))
        count -= len(bundle.splices)
    return replace(work, bundles=tuple(bundles))
