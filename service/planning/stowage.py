"""How one end lies in one tray: its stored turns and length, its part of the channel, and whether it may lie there."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from functools import lru_cache
from typing import Literal

from service.domain.catalogue import Cable, Catalogue, Method, Sleeve, Tray
from service.domain.plan import Reason
from service.domain.records import Tally
from service.domain.request import Rules
from service.domain.splices import Bundle
from service.planning import bend, slack, storage
from service.planning.preparation import MethodInUse, method_for
from service.planning.recording.learning import by_form

Form = Literal["ribbon", "single"]


@dataclass(frozen=True, slots=True)
class EndKind:
    """Ends that are alike: same cable model, joined in the same way with the same number of fibres."""

    cable: Cable
    form: Form
    fibres: int
    method: Method
    shipped: bool

    @property
    def body(self) -> Literal["flat", "rollable", "fibre"]:
        """What lies in the channel: a flat ribbon, a rolled one, or a bare fibre."""
        if self.form == "single":
            return "fibre"
        return "rollable" if self.cable.ribbon_form == "rollable" else "flat"


@dataclass(frozen=True, slots=True)
class EndInTray:
    """One end in one tray: whole turns a side, stored length (mm), share of the channel (µm²), remakes it affords."""

    turns: int
    stored_mm: float
    um2: int
    remakes_left: int


@dataclass(frozen=True, slots=True)
class Pairing:
    """Two end kinds that are spliced to one another; every bundle is of one pairing."""

    from_: EndKind
    to: EndKind

    @property
    def cleave_length_mm(self) -> float:
        """The longer of the two sides' cleave lengths."""
        return max(self.from_.method.cleave_length_mm or 0.0, self.to.method.cleave_length_mm or 0.0)


@lru_cache(maxsize=4096)
def _end_in_tray(
    end: storage.StoredEnd, cutback_mm: float, entry_mm: float, turn_mm: float, rules: tuple[float, int, float]
) -> EndInTray:
    """Exact arithmetic is dear and the same few ends and trays come again and again: hence the cache."""
    reach_mm, remakes, fill = rules
    needed = slack.needed_mm(Rules(reach_mm=reach_mm, remakes=remakes), cutback_mm)
    turns = slack.turns(needed, entry_mm, turn_mm)
    stored = slack.stored_mm(entry_mm, turns, turn_mm)
    left = slack.remakes_left(stored, reach_mm, cutback_mm)
    return EndInTray(turns, stored, storage.storage_um2((end,), turns, fill), left)


class Stowage:
    """The ends of one request in the trays of the catalogue, each worked out once."""

    def __init__(
        self, rules: Rules, catalogue: Catalogue, cables: dict[str, Cable], recorded: Iterable[Tally] = ()
    ) -> None:
        self.rules = rules
        self.recorded = by_form(recorded)
        self.notes: dict[str, None] = {}
        self._catalogue = catalogue
        self._cables = cables
        self._kinds: dict[tuple[str, Form, int], EndKind] = {}
        self._pairings: dict[tuple[str, str, Form, int], Pairing] = {}
        self._ends: dict[tuple[str, Form, int, str], EndInTray] = {}
        self._refusals: dict[tuple[int, str, str], Reason | None] = {}

    def cable(self, tag: str) -> Cable:
        """The cable model behind a tag."""
        return self._cables[tag]

    def kind(self, tag: str, form: Form, fibres: int) -> EndKind:
        """The end kind of a cable's ends joined in one form."""
        cable = self._cables[tag]
        key = (cable.code, form, fibres)
        if key not in self._kinds:
            memo_key = ("method", cable.code, form, fibres)
            chosen: MethodInUse | None = self._catalogue.memo.get(memo_key)
            if chosen is None:
                chosen = method_for(cable, form, fibres, self._catalogue.methods.values())
                self._catalogue.memo[memo_key] = chosen
            self.notes.update(dict.fromkeys(chosen.notes))
            self._kinds[key] = EndKind(cable, form, fibres, chosen.method, chosen.shipped)
        return self._kinds[key]

    def pairing(self, bundle: Bundle) -> Pairing:
        """The pairing of a bundle's splices (one object for each pairing of the request)."""
        key = (bundle.from_cable, bundle.to_cable, bundle.form, bundle.fibres)
        if key not in self._pairings:
            self._pairings[key] = Pairing(
                self.kind(bundle.from_cable, bundle.form, bundle.fibres),
                self.kind(bundle.to_cable, bundle.form, bundle.fibres),
            )
        return self._pairings[key]

    def end(self, kind: EndKind, tray: Tray) -> EndInTray:
        """Turns, stored length and channel share of one end of a kind in a tray."""
        key = (kind.cable.code, kind.form, kind.fibres, tray.code)
        found = self._ends.get(key)
        if found is None:
            rules = self.rules
            found = self._ends[key] = _end_in_tray(
                storage.StoredEnd(kind.body, kind.fibres, kind.cable.pitch_um),
                kind.method.cutback_mm or 0.0,
                tray.entry_mm or 0.0,
                tray.turn_mm,
                (rules.reach_mm, rules.remakes, rules.storage_fill),
            )
        return found

    def loss_db(self, pairing: Pairing, tray: Tray) -> dict[str, float | None]:
        """Bound on the loss that one splice's stored turns add, both sides, by wavelength; None: no table tells."""
        total: dict[str, float | None] = {}
        for kind in (pairing.from_, pairing.to):
            side = bend.loss_bound_db(kind.cable.fibre, tray.bend_radius_mm, self.end(kind, tray).turns)
            for wavelength, loss in side.items():
                so_far = total.get(wavelength, 0.0)
                total[wavelength] = None if loss is None or so_far is None else so_far + loss
        return total

    def refusal(self, pairing: Pairing, sleeve: Sleeve, tray: Tray) -> Reason | None:
        """Why a pairing's splices may not lie in a tray that offers slots for their sleeve; None where they may."""
        key = (id(pairing), sleeve.code, tray.code)
        if key not in self._refusals:
            self._refusals[key] = self._refuse(pairing, sleeve, tray)
        return self._refusals[key]

    def _refuse(self, pairing: Pairing, sleeve: Sleeve, tray: Tray) -> Reason | None:
        longest = tray.sleeve_length_max_mm
        if longest is not None and sleeve.length_mm > longest:
            return Reason(
                "sleeve_length",
                sleeve.length_mm,
                longest,
                "mm",
                f"sleeve {sleeve.code} is {sleeve.length_mm:g} mm long and tray {tray.code} takes {longest:g} mm",
            )
        for kind in (pairing.from_, pairing.to):
            reason = self.end_refusal(kind, tray)
            if reason is not None:
                return reason
        allowance = self.rules.bend_allowance_db
        if allowance is not None:
            losses = [loss for loss in self.loss_db(pairing, tray).values() if loss is not None]
            if losses and max(losses) > allowance:
                return Reason(
                    "bend",
                    round(max(losses), 6),
                    allowance,
                    "dB",
                    f"the stored turns in tray {tray.code} may add {max(losses):.4g} dB; {allowance:g} dB are allowed",
                )
        return None

    def end_refusal(self, kind: EndKind, tray: Tray) -> Reason | None:
        """Why one end may not be stored in a tray: bent too tight, or a flat ribbon with too many turns."""
        required, basis = bend.required_radius_mm(kind.cable.fibre, self.rules.storage_radius_mm)
        if tray.bend_radius_mm < required:
            would_do = bend.categories_for(tray.bend_radius_mm, self.rules.storage_radius_mm)
            hint = f"; its radius would do for {', '.join(would_do)}" if would_do else ""
            return Reason(
                "bend",
                required,
                tray.bend_radius_mm,
                "mm",
                f"{kind.cable.fibre} fibre is stored at {required:g} mm radius or more ({basis}) and tray {tray.code} "
                f"bends it to {tray.bend_radius_mm:g} mm{hint}",
            )
        limit = tray.flat_turns_max
        turns = self.end(kind, tray).turns
        if kind.body == "flat" and limit is not None and turns > limit:
            return Reason(
                "bend",
                turns,
                limit,
                "turns",
                f"a flat ribbon needs {turns} turns a side in tray {tray.code}, which takes {limit}",
            )
        return None
