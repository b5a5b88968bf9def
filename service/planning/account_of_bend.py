"""The bend check of a plan: its worst splice, and its tightest tray."""

from __future__ import annotations

from service.domain.plan import Bend
from service.domain.splices import Work
from service.planning import bend
from service.planning.demand import Demand
from service.planning.packing.problem import Packing
from service.planning.stowage import Stowage


def bend_of(work: Work, demand: Demand, packing: Packing, stowage: Stowage) -> tuple[Bend, list[str]]:
    """The worst splice over the trays used: loss by wavelength, and the tightest radius beside what it must be."""
    worst: dict[str, float] = {}
    untold: set[str] = set()
    tightest: tuple[float, float, str] | None = None
    notes: list[str] = []
    seen: set[tuple[int, int]] = set()
    for packed in packing.trays:
        tray = demand.trays[packed.kind]
        for piece in packed.pieces:
            if piece.item >= len(work.bundles):
                continue
            pairing = stowage.pairing(work.bundles[piece.item])
            if (id(pairing), packed.kind) in seen:
                continue
            seen.add((id(pairing), packed.kind))
            for wavelength, loss in stowage.loss_db(pairing, tray).items():
                if loss is None:
                    untold.add(wavelength)
                else:
                    worst[wavelength] = max(worst.get(wavelength, 0.0), loss)
            for kind in (pairing.from_, pairing.to):
                required, basis = bend.required_radius_mm(kind.cable.fibre, stowage.rules.storage_radius_mm)
                if tightest is None or tray.bend_radius_mm - required < tightest[0] - tightest[1]:
                    tightest = (tray.bend_radius_mm, required, f"{kind.cable.fibre}: {basis}")
                turns = stowage.end(kind, tray).turns
                if kind.body == "flat" and tray.flat_turns_max is None and turns > 2:
                    notes.append(
                        f"a flat ribbon lies in {turns} turns a side in tray {tray.code}: "
                        "more than 2 want careful pre-coiling"
                    )
    for wavelength in sorted(untold):
        worst.pop(wavelength, None)
        notes.append(f"no tabulated loss at {wavelength} nm for a fibre at its tray's radius: the figure is left out")
    allowance = stowage.rules.bend_allowance_db
    ok = allowance is None or all(loss <= allowance for loss in worst.values())
    by_wavelength = {wavelength: worst[wavelength] for wavelength in sorted(worst)}
    if tightest is None:
        return Bend(ok, by_wavelength, "nothing is stored"), notes
    return Bend(ok, by_wavelength, tightest[2], tightest[0], tightest[1]), notes
