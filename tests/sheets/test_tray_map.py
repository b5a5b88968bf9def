"""How splices side by side are folded into runs, and how a run is worded."""

from __future__ import annotations

from hypothesis import given
from hypothesis import strategies as st

from service.domain.catalogue import Cable
from service.domain.plan import BankUse, PlacedSplice, PlannedTray
from service.domain.splices import RibbonEnd
from service.sheets.tray_map import runs, side_text, tray_lines
from tests.sheets.small_plan import fibre_splice, ribbon_splice

CABLES = {
    "A": Cable("flat-576", "", 20, 576, 12, 4, "flat", 250, "G.652.D"),
    "B": Cable("flat-576", "", 20, 576, 12, 4, "flat", 250, "G.652.D"),
    "C": Cable("loose-48", "", 9, 48, 12, 1, "loose", 250, "G.652.D"),
    "W": Cable("wide", "", 22, 288, 24, 6, "flat", 250, "G.652.D"),
}


def _tray(splices: tuple[PlacedSplice, ...], *banks: BankUse) -> PlannedTray:
    return PlannedTray(1, "mix", True, banks, splices, (), None, 0, 0.0, None)


def test_a_run_ends_where_the_tube_changes() -> None:
    """Ribbons 3-6 lie in two tubes of four ribbons, so the crew reads two runs, each with its tube's colour."""
    folded = list(runs([ribbon_splice(slot, slot + 2) for slot in (1, 2, 3, 4)], CABLES))
    assert [(run.slots, run.first.from_.ribbon, run.last.from_.ribbon) for run in folded] == [
        ("1-2", 3, 4),
        ("3-4", 5, 6),
    ]


def test_a_run_ends_where_one_side_jumps() -> None:
    """Slots 1-2 count up on both sides, slot 3 does not on the far side: it stands alone."""
    splices = [ribbon_splice(1, 1), ribbon_splice(2, 2), ribbon_splice(3, 3, to=4)]
    assert [run.slots for run in runs(splices, CABLES)] == ["1-2", "3"]


def test_a_run_ends_where_the_bundle_the_slot_or_the_bank_changes() -> None:
    """What belongs to another bundle, lies beyond a gap, or in another bank is a run of its own."""
    splices = [ribbon_splice(1, 1), ribbon_splice(2, 2, bundle=2), ribbon_splice(4, 3, bundle=2), fibre_splice(5, 90)]
    assert [run.slots for run in runs(splices, CABLES)] == ["1", "2", "4", "5"]


@given(st.lists(st.tuples(st.integers(1, 48), st.integers(1, 48)), max_size=24))
def test_runs_hold_every_splice_once_and_in_order(pairs: list[tuple[int, int]]) -> None:
    """Folding loses nothing: the runs unfolded are the splices again."""
    splices = [ribbon_splice(slot, ribbon, to=to) for slot, (ribbon, to) in enumerate(pairs, start=1)]
    unfolded = [
        ribbon_splice(run.first.slot + step, run.first.from_.ribbon + step, to=run.first.to.ribbon + step)
        for run in runs(splices, CABLES)
        for step in range(run.last.slot - run.first.slot + 1)
    ]
    assert unfolded == splices


def test_ribbons_are_told_with_tube_and_colour() -> None:
    """Ribbon 45 of four a tube lies in tube 12, which is aqua; ribbon 48 in the same."""
    assert side_text(RibbonEnd("A", 45), RibbonEnd("A", 48), CABLES) == "A ribbons 45-48, tube 12 (aqua)"


def test_fibres_are_told_with_their_own_colours() -> None:
    """Fibre 86 is the second of its dozen, orange, as in the published example of a 144-fibre cable (73 is blue).

    There 86 lies in the black unit, the eighth. Source: an encyclopaedia's table of TIA-598-C, restated.
    """
    one_a_tube = {"L": Cable("loose-144", "", 15, 144, 12, 1, "loose", 250, "G.652.D")}
    end = RibbonEnd("L", 8, 86)
    assert side_text(end, end, one_a_tube) == "L fibre 86 (orange), tube 8 (black)"


def test_an_outgoing_end_is_told_apart() -> None:
    """At a ring cut both ends carry the same numbers; the outgoing one says so."""
    end = RibbonEnd("C", 1, 3, None, "out")
    assert side_text(end, end, CABLES) == "C (outgoing) fibre 3 (green), tube 1 (blue)"


def test_twelves_of_a_wide_ribbon_are_told_by_letter() -> None:
    """Whole ribbons go as twelves without letters; a half by itself is a (first) or b (second)."""
    first, last = RibbonEnd("W", 1, None, 1), RibbonEnd("W", 3, None, 2)
    assert side_text(first, last, CABLES) == "W ribbons 1-3 as twelves, tube 1 (blue)"
    assert side_text(last, last, CABLES) == "W ribbon 3b, tube 1 (blue)"
    assert side_text(RibbonEnd("W", 1, None, 2), last, CABLES) == "W twelves 1b-3b, tube 1 (blue)"


def test_twelves_fold_into_one_run() -> None:
    """Halves 1a 1b 2a against ribbons 1 2 3 of twelve are one run of three slots."""
    halves = [(1, 1), (1, 2), (2, 1)]
    splices = [
        PlacedSplice(1, slot, RibbonEnd("W", ribbon, None, half), RibbonEnd("B", slot), 12, "rs", 1)
        for slot, (ribbon, half) in enumerate(halves, start=1)
    ]
    assert [run.slots for run in runs(splices, CABLES)] == ["1-3"]


def test_free_slots_and_free_banks_are_told() -> None:
    """The next crew sees which slots are left and which bank can still be set."""
    lines = tray_lines(_tray((ribbon_splice(1, 1),), BankUse(1, "ribbon", 6, 1), BankUse(2, None, 0, 0)), "", CABLES)
    told = [" ".join(line.split()) for line in lines]
    assert "2-6 free" in told
    assert "bank 2 not set; takes any kind it offers" in told


def test_slots_that_are_taken_by_others_are_told() -> None:
    """Slots in use that hold none of this plan's splices are work that is there, or parked ends."""
    lines = tray_lines(_tray((ribbon_splice(3, 1),), BankUse(1, "ribbon", 6, 3)), "", CABLES)
    assert any(" 1-2  taken by work that is there or by parked ends" in line for line in lines)
