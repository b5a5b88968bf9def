"""The split rule: only what may be divided lies in more than one tray."""

from __future__ import annotations

from collections.abc import Sequence

from service.verifying.facts import Facts
from service.verifying.laid import LaidTray
from service.verifying.report import Findings
from service.verifying.vessels import most_in_empty


def pieces_of(trays: Sequence[LaidTray]) -> dict[int, int]:
    """In how many trays each bundle lies, by its number."""
    pieces: dict[int, int] = {}
    for tray in trays:
        for bundle in {splice.bundle for splice in tray.splices}:
            pieces[bundle] = pieces.get(bundle, 0) + 1
    return pieces


def check_division(trays: Sequence[LaidTray], facts: Facts, findings: Findings) -> None:
    """``never``: no bundle is divided; ``oversize``: only one larger than an empty tray of any model takes."""
    for number, pieces in sorted(pieces_of(trays).items()):
        if pieces == 1 or facts.split == "free":
            continue
        bundle = facts.bundles[number - 1]
        at = next(s.pointer for t in reversed(trays) for s in t.splices if s.bundle == number)
        if facts.split == "never":
            findings.breach(f"{at}/bundle", f"bundle {number} lies in {pieces} trays and may not be divided")
        else:
            most = most_in_empty(facts, bundle)
            findings.expect(
                bundle.size > most,
                f"{at}/bundle",
                f"bundle {number} lies in {pieces} trays; an empty tray could take {most} of its {bundle.size} splices",
            )
    findings.checked.append(f"no bundle divided against the rule ({facts.split})")
