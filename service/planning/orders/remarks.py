"""What a purchaser should know of an order beside its figures."""

from __future__ import annotations

from collections.abc import Iterable, Iterator

from service.domain.order import OrderLine
from service.domain.rework import Learned, mean_rate
from service.planning.orders.needs import Sources


def notes_of(
    sources: Sources, lines: Iterable[OrderLine], confidence: float, recorded: bool = False
) -> tuple[str, ...]:
    """Sentences on rework rates and confidences that differ, on what is left out, unpriced or retired."""
    lines = tuple(lines)
    learned = _of_records(lines) if recorded else ()
    return (*_of_spares(sources, lines, confidence), *learned, *_of_sources(sources), *_of_lines(lines))


def _of_spares(sources: Sources, lines: tuple[OrderLine, ...], confidence: float) -> Iterator[str]:
    if any(line.spares for line in lines):
        yield f"spares last for the whole order with {confidence * 100:g} % confidence, not for each splice point"
    lowest = min((sleeve.lowest for _, summed in sources for sleeve in summed.sleeves.values()), default=confidence)
    highest = max((sleeve.highest for _, summed in sources for sleeve in summed.sleeves.values()), default=confidence)
    if (lowest, highest) != (confidence, confidence):
        asked = f"{lowest * 100:g} %" if lowest == highest else f"{lowest * 100:g} to {highest * 100:g} %"
        yield f"the plans' own spares are for {asked} confidence each"
    for line in lines:
        if line.spares is not None and len(line.spares.groups) > 1:
            groups = line.spares.groups
            rates = " and ".join(f"{mean_rate(group.rework) * 100:g} % ({group.splices})" for group in groups)
            yield f"{line.item}: joints are made again at different rates, {rates}; their spares are pooled"


def _of_records(lines: tuple[OrderLine, ...]) -> Iterator[str]:
    spared = [line for line in lines if line.spares is not None]
    if spared:
        yield "the rates behind the spares are learned from the splice records there were when the order was made"
    for line in spared:
        assert line.spares is not None
        kept = sum(group.splices for group in line.spares.groups if not isinstance(group.rework, Learned))
        if kept:
            yield f"{line.item}: {kept} splices keep the rate of their plans, which do not tell the ribbon form"


def _of_sources(sources: Sources) -> Iterator[str]:
    unfit = sum(source.unfit for source, _ in sources)
    faulty = sum(source.faulty for source, _ in sources)
    if unfit:
        yield f"{_points(unfit)} that {'does' if unfit == 1 else 'do'} not fit {_are(unfit)} left out"
    if faulty:
        yield f"{_points(faulty)} that could not be planned {_are(faulty)} left out"


def _of_lines(lines: tuple[OrderLine, ...]) -> Iterator[str]:
    bought = [line for line in lines if line.packs]
    for line in bought:
        if line.retired:
            yield f"{line.item} is retired in the catalogue: ask whether it can still be had"
    without = [line.item for line in bought if line.price is None]
    if without:
        yield f"without a price, and in no total: {', '.join(without)}"


def _points(count: int) -> str:
    return f"{count} splice point{'' if count == 1 else 's'}"


def _are(count: int) -> str:
    return "is" if count == 1 else "are"
