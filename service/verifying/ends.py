"""Every splice once, every end once, and every parked end once."""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence

from service.verifying.facts import CableModel, Facts, Load
from service.verifying.laid import End, LaidSplice, LaidTray
from service.verifying.report import Findings

Taken = dict[tuple[str, str], set[int]]
"""The fibres that are spliced, by cable and cable end."""


def check_splices(trays: Sequence[LaidTray], facts: Facts, findings: Findings) -> None:
    """Bundles are placed whole, by the counts of the certificate, and are each of one kind of splice."""
    first: dict[int, LaidSplice] = {}
    counts = Counter(splice.bundle for tray in trays for splice in tray.splices)
    for tray in trays:
        for splice in tray.splices:
            bundle = facts.bundles[splice.bundle - 1]
            findings.expect(
                splice.sleeve == bundle.sleeve, f"{splice.pointer}/sleeve", f"the bundle's sleeve is {bundle.sleeve}"
            )
            findings.expect(
                splice.fibres == bundle.fibres,
                f"{splice.pointer}/fibres",
                f"the bundle's splices are of {bundle.fibres} fibres",
            )
            _check_form(splice, bundle, findings)
            before = first.setdefault(splice.bundle, splice)
            for word, end, other in (("from", splice.from_, before.from_), ("to", splice.to, before.to)):
                findings.expect(
                    end[0] == other[0] and end[4] == other[4] and (end[2] is None) == (other[2] is None),
                    f"{splice.pointer}/{word}",
                    f"bundle {splice.bundle} starts with a splice of another cable, cable end or kind",
                )
    for bundle in facts.bundles:
        findings.expect(
            counts[bundle.number] == bundle.size,
            bundle.pointer,
            f"bundle {bundle.number} is of {bundle.size} splices and the trays hold {counts[bundle.number]}",
        )
    findings.checked.append(
        f"{sum(counts.values())} splices of {len(facts.bundles)} bundles, each bundle whole, with its sleeve"
    )


def _check_form(splice: LaidSplice, bundle: Load, findings: Findings) -> None:
    by_fibre = splice.from_[2] is not None
    findings.expect(
        by_fibre == (splice.to[2] is not None), splice.pointer, "one side is a ribbon and the other a single fibre"
    )
    if by_fibre:
        findings.expect(
            bundle.fibres == 1 and bundle.ends == 0,
            splice.pointer,
            "a splice of single fibres is not its bundle's kind",
        )
    else:
        findings.expect(bundle.ends == 2, splice.pointer, "a ribbon splice brings two ribbon ends into its tray")


def fibres_of(end: End, cable: CableModel) -> range | None:
    """The fibres that an end is, counted through its cable; None where the cable has no such end."""
    _, ribbon, fibre, half, _ = end
    if not 1 <= ribbon <= cable.ribbons:
        return None
    fibres = cable.in_ribbon(ribbon)
    if fibre is not None:
        return range(fibre, fibre + 1) if fibre in fibres and half is None else None
    if half is not None:
        if len(fibres) % 2:
            return None
        middle = len(fibres) // 2
        return fibres[:middle] if half == 1 else fibres[middle:]
    return fibres


def check_ends(trays: Sequence[LaidTray], facts: Facts, findings: Findings) -> Taken:
    """No fibre end is used twice, each is one that its cable has, and a bundle kept by tubes stays within them."""
    taken: Taken = {}
    for tag, model in facts.cables.items():
        taken[tag, "in"], taken[tag, "out"] = set(model.spliced), set(model.spliced_out)
    tubes: dict[tuple[int, str], int] = {}
    ends = 0
    for tray in trays:
        for splice in tray.splices:
            for word, end in (("from", splice.from_), ("to", splice.to)):
                ends += 1
                pointer, (tag, _, _, _, side) = f"{splice.pointer}/{word}", end
                cable = facts.cables.get(tag)
                if cable is None:
                    findings.breach(f"{pointer}/cable", f"no cable {tag} is at the splice point")
                    continue
                findings.expect(side == "in" or cable.express, f"{pointer}/end", f"cable {tag} does not pass through")
                fibres = fibres_of(end, cable)
                if fibres is None:
                    findings.breach(pointer, f"cable {tag} has no {_said(end)}")
                    continue
                findings.expect(
                    len(fibres) == splice.fibres, pointer, f"{_said(end)} has {len(fibres)} fibres, not {splice.fibres}"
                )
                used = taken[tag, side]
                findings.expect(used.isdisjoint(fibres), pointer, f"this end is used twice: {tag} {_said(end)}")
                used.update(fibres)
                tube = tubes.setdefault((splice.bundle, word), cable.tube_of(fibres[0]))
                findings.expect(
                    facts.keep != "tube" or tube == cable.tube_of(fibres[0]),
                    pointer,
                    f"bundle {splice.bundle} starts in tube {tube}",
                )
    findings.checked.append(f"{ends} ends, each one that its cable has, none used twice")
    return taken


def _said(end: End) -> str:
    _, ribbon, fibre, half, side = end
    part = f", fibre {fibre}" if fibre is not None else f", half {half}" if half is not None else ""
    return f"ribbon {ribbon}{part}{' (out)' if side == 'out' else ''}"


def check_parked(trays: Sequence[LaidTray], facts: Facts, findings: Findings) -> None:
    """Parked ends lie in trays, all of them, once."""
    asked: Counter[tuple[str, int, str]] = Counter()
    pointers: dict[tuple[str, int, str], str] = {}
    for load in facts.parked:
        asked[load.place] += load.size
        pointers.setdefault(load.place, load.pointer)
        findings.expect(load.place[0] in facts.cables, f"{load.pointer}/cable", "no such cable is at the splice point")
    laid: Counter[tuple[str, int, str]] = Counter()
    for tray in trays:
        for ends in tray.parked:
            place = (ends.cable, ends.tube, ends.of)
            laid[place] += ends.count
            findings.expect(place in asked, ends.pointer, f"no {ends.of} of this tube are to be parked")
    for place, count in asked.items():
        cable, tube, of = place
        findings.expect(
            laid[place] == count,
            pointers[place],
            f"{count} {of} of tube {tube} of cable {cable} are to be parked and the trays hold {laid[place]}",
        )
    if asked:
        findings.checked.append(f"{sum(asked.values())} parked ends, each in one tray")
