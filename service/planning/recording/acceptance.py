"""Splices judged by their recorded losses against the limits that are asked for."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence
from fractions import Fraction

from service.domain.acceptance import Basis, ClosureVerdict, FibreVerdict, Limits, MeanVerdict, SpliceVerdict
from service.domain.records import SpliceRecord
from service.planning.recording.figures import Figure, figures_of
from service.planning.slack import exact


def judge_closure(records: Iterable[SpliceRecord], limits: Limits, splices: Iterable[int] = ()) -> ClosureVerdict:
    """Judge the splices of a closure, each by its last record; ``splices`` are the numbers of all that lie in it.

    A splice without a record, or of which no figure meets a limit, is unjudged and keeps the closure from being good.
    """
    last = {record.splice: record for record in records}
    verdicts = tuple(judge_splice(last[number], limits) for number in sorted(last))
    failing = tuple(verdict.splice for verdict in verdicts if verdict.good is False)
    judged = {verdict.splice for verdict in verdicts if verdict.good is not None}
    unjudged = tuple(sorted({*last, *splices} - judged))
    good = False if failing else None if unjudged or not verdicts else True
    notes = []
    if limits == Limits():
        notes.append("no limit was asked for: nothing is judged")
    elif unjudged:
        notes.append(f"not judged for want of a figure: splice{_s(unjudged)} {_listed(unjudged)}")
    rests: tuple[tuple[Basis, str], ...] = (
        ("one_way", "by one direction alone"),
        ("estimated", "by the splicer's estimate alone"),
    )
    for basis, told in rests:
        so = [each.splice for each in verdicts if any(_rests_on(fibre, basis) for fibre in each.fibres)]
        if so:
            notes.append(f"judged {told}, in part or whole: splice{_s(so)} {_listed(so)}")
    return ClosureVerdict(good, verdicts, failing, unjudged, tuple(notes))


def judge_splice(record: SpliceRecord, limits: Limits) -> SpliceVerdict:
    """Judge one splice. It is good where every figure that a limit applies to is within it, and there is one.

    A fibre fails where its loss is over the limit at any wavelength. The mean of a ribbon's fibres is judged at each
    wavelength; a figure of the whole ribbon stands for its mean where no fibre of it has one.
    """
    figures = figures_of(record.measurements)
    mass = record.fibres > 1
    fibres = tuple(_judged(figure, limits, mass) for figure in figures)
    means = tuple(_means(figures, limits)) if mass else ()
    verdicts = [each.good for each in fibres if each.good is not None] + [each.good for each in means]
    failing = tuple(sorted({each.fibre or 1 for each in fibres if each.good is False and (each.fibre or not mass)}))
    notes = tuple(_notes(record, figures, fibres, means))
    return SpliceVerdict(record.splice, all(verdicts) if verdicts else None, fibres, means, failing, notes)


def _judged(figure: Figure, limits: Limits, mass: bool) -> FibreVerdict:
    special = []
    if figure.wavelength_nm is not None and figure.wavelength_nm in limits.at_nm:
        special.append(limits.at_nm[figure.wavelength_nm])
    if figure.basis == "one_way" and limits.one_way_db is not None:
        special.append(limits.one_way_db)
    limit = min(special) if special else limits.splice_db
    if figure.fibre is None and mass and limits.ribbon_mean_db is not None:
        # Told of a ribbon as a whole it is a mean, which is judged as such where there is a limit for it.
        limit = limits.ribbon_mean_db
    good = None if limit is None else figure.loss_db <= exact(limit)
    return FibreVerdict(figure.fibre, figure.wavelength_nm, float(figure.loss_db), figure.basis, limit, good)


def _means(figures: Sequence[Figure], limits: Limits) -> Iterator[MeanVerdict]:
    """The means by wavelength; at each, a fibre of which nothing was measured has the splicer's estimate."""
    limit = limits.ribbon_mean_db
    if limit is None:
        return
    own = [figure for figure in figures if figure.fibre is not None]
    measured = sorted({f.wavelength_nm or 0 for f in own if f.basis != "estimated"})
    estimates = {f.fibre: f.loss_db for f in own if f.basis == "estimated"}
    at: Mapping[int, Mapping[int | None, Fraction]] = {
        nm: {**estimates, **{f.fibre: f.loss_db for f in own if (f.wavelength_nm or 0) == nm}} for nm in measured
    }
    if not measured and estimates:
        at = {0: estimates}
    for nm, losses in at.items():
        mean = sum(losses.values(), Fraction(0)) / len(losses)
        yield MeanVerdict(nm or None, len(losses), float(mean), limit, mean <= exact(limit))


def _notes(
    record: SpliceRecord, figures: Sequence[Figure], fibres: Sequence[FibreVerdict], means: Sequence[MeanVerdict]
) -> Iterator[str]:
    judged = [each for each in fibres if each.good is not None]
    one_way = sorted({each.fibre or 0 for each in judged if each.basis == "one_way"})
    if one_way:
        yield f"measured in one direction alone, which an unlike fibre can make seem better or worse{_of(one_way)}"
    estimated = sorted({each.fibre or 0 for each in judged if each.basis == "estimated"})
    if estimated:
        yield f"judged by the splicer's estimate, since nothing was measured{_of(estimated)}"
    if any(each.basis == "two_way" and each.loss_db < 0 for each in fibres):
        yield "a gain in the mean of both directions cannot be: look at the measurement again"
    known = {figure.fibre for figure in figures if figure.fibre is not None}
    if record.fibres > 1 and known and len(known) < record.fibres:
        yield f"{len(known)} of {record.fibres} fibres have a figure"
    if any(mean.fibres < len(known) for mean in means):
        yield "not every fibre was measured at every wavelength: a mean is of those that were"


def _rests_on(fibre: FibreVerdict, basis: Basis) -> bool:
    return fibre.basis == basis and fibre.good is not None


def _of(fibres: Sequence[int]) -> str:
    numbers = [fibre for fibre in fibres if fibre]
    return f": fibre{_s(numbers)} {_listed(numbers)}" if numbers else ""


def _s(things: Sequence[int]) -> str:
    return "" if len(things) == 1 else "s"


def _listed(numbers: Sequence[int]) -> str:
    shown = [str(number) for number in numbers[:_SHOWN]]
    more = len(numbers) - len(shown)
    return ", ".join(shown) + (f" and {more} more" if more else "")


_SHOWN = 24
"""So many numbers are named in a note; the verdicts have them all."""
