"""Joints become bundles, and what cannot be joined is refused with a pointer to every fault."""

from __future__ import annotations

from dataclasses import replace

import pytest

from service.domain.faults import Refused
from service.domain.request import Joint, PlanRequest
from service.planning.joints import work_of
from tests.small_catalogue import fibre_joint, request_for, ribbon_joint, side, small_catalogue

CATALOGUE = small_catalogue()


def faults(request: PlanRequest) -> list[tuple[str, str]]:
    """The pointers and codes with which a request is refused."""
    with pytest.raises(Refused) as refused:
        work_of(request, CATALOGUE)
    return [(fault.pointer, fault.code) for fault in refused.value.faults]


def test_a_joint_is_cut_into_bundles_where_a_tube_ends_on_either_side() -> None:
    """Tubes of 6 on one side and 12 on the other: 1-14 meets tube pairs (1,1), (2,1), (3,2)."""
    work = work_of(request_for({"A": "flat-288", "B": "roll-288"}, [ribbon_joint("A", "1-14", "B", "1-14")]), CATALOGUE)
    assert [(b.from_tube, b.to_tube, len(b.splices)) for b in work.bundles] == [(1, 1, 6), (2, 1, 6), (3, 2, 2)]


def test_keep_joint_and_keep_none_make_one_bundle_and_one_each() -> None:
    """What is kept together is the owner's choice."""
    joints = [ribbon_joint("A", "1-14", "B", "1-14")]
    cables = {"A": "flat-288", "B": "roll-288"}
    assert len(work_of(request_for(cables, joints, keep="joint"), CATALOGUE).bundles) == 1
    assert len(work_of(request_for(cables, joints, keep="none"), CATALOGUE).bundles) == 14


def test_fibres_lie_in_the_tube_that_the_numbering_gives() -> None:
    """Fibre 277 in 12-fibre ribbons lies in ribbon 24 (ceil(277 / 12)), and that in tube 2 of 12 ribbons each."""
    work = work_of(request_for({"B": "roll-288", "C": "drop-24"}, [fibre_joint("B", "277-280", "C", "1-4")]), CATALOGUE)
    (bundle,) = work.bundles
    assert (bundle.form, bundle.fibres, bundle.from_tube, bundle.to_tube) == ("single", 1, 2, 1)
    assert [splice.from_.ribbon for splice in bundle.splices] == [24] * 4


def test_the_ranges_pair_off_in_the_order_written() -> None:
    """ "3,1-2" to "1-3" joins 3 to 1, 1 to 2, 2 to 3."""
    work = work_of(request_for({"A": "flat-288", "B": "roll-288"}, [ribbon_joint("A", "3,1-2", "B", "1-3")]), CATALOGUE)
    assert [(s.from_.ribbon, s.to.ribbon) for b in work.bundles for s in b.splices] == [(3, 1), (1, 2), (2, 3)]


def test_fibres_of_ribbons_that_another_joint_used_up_are_refused_with_the_place() -> None:
    """The third joint takes fibres of ribbons that the second one uses whole."""
    request = request_for(
        {"A": "flat-288", "B": "roll-288", "C": "drop-24"},
        [
            ribbon_joint("A", "1-22", "B", "1-22"),
            ribbon_joint("A", "23-24", "C", "1-2"),
            fibre_joint("B", "277-280", "C", "1-4"),
        ],
    )
    assert faults(request) == [("/joints/2/to/fibres", "used_twice")]


@pytest.mark.parametrize(
    ("joint", "expected"),
    [
        (ribbon_joint("A", "1-25", "B", "1-25"), ("/joints/0/from/ribbons", "outside")),
        (ribbon_joint("A", "1-100000000", "B", "1"), ("/joints/0/from/ribbons", "outside")),
        (ribbon_joint("A", "5-1", "B", "1-5"), ("/joints/0/from/ribbons", "range")),
        (ribbon_joint("A", "1-3", "B", "1-2"), ("/joints/0/to/ribbons", "unequal")),
        (ribbon_joint("A", "1-3,2", "B", "1-4"), ("/joints/0/from/ribbons", "used_twice")),
        (ribbon_joint("A", "1", "X", "1"), ("/joints/0/to/cable", "unknown_tag")),
        (Joint(side("A", "1"), side("B", fibres="1")), ("/joints/0/to", "mixed")),
        (Joint(side("A", "1", end="out"), side("B", "1")), ("/joints/0/from/end", "not_express")),
        (ribbon_joint("A", "1", "B", "1", split_ribbons=True), ("/joints/0/split_ribbons", "not_24")),
    ],
)
def test_what_cannot_be_joined_is_refused(joint: Joint, expected: tuple[str, str]) -> None:
    """Ranges, lengths, tags, forms and ends that make no sense."""
    assert expected in faults(request_for({"A": "flat-288", "B": "roll-288"}, [joint]))


def test_ribbons_of_unequal_fibre_count_are_not_mass_spliced() -> None:
    """The last ribbon of a 100-fibre cable has 4 fibres; it may go to its like, not to a 12."""
    cables = {"A": "odd-100", "B": "roll-288", "C": "odd-100"}
    assert faults(request_for(cables, [ribbon_joint("A", "9", "B", "1")])) == [
        ("/joints/0/to/ribbons", "unequal_fibres")
    ]
    work = work_of(request_for(cables, [ribbon_joint("A", "8-9", "C", "8-9")]), CATALOGUE)
    assert [bundle.fibres for bundle in work.bundles] == [12, 4]


def test_a_24_fibre_ribbon_goes_as_two_twelves_only_where_the_joint_says_so() -> None:
    """Two 24s make four twelves on the other side."""
    cables = {"A": "flat-24s", "B": "roll-288"}
    assert faults(request_for(cables, [ribbon_joint("A", "1-2", "B", "1-2")])) == [
        ("/joints/0/to/ribbons", "unequal_fibres")
    ]
    work = work_of(request_for(cables, [ribbon_joint("A", "1-2", "B", "1-4", split_ribbons=True)]), CATALOGUE)
    (bundle,) = work.bundles
    assert [(s.from_.ribbon, s.from_.half, s.to.ribbon) for s in bundle.splices] == [
        (1, 1, 1),
        (1, 2, 2),
        (2, 1, 3),
        (2, 2, 4),
    ]
    assert bundle.fibres == 12


def test_loose_fibres_are_ribbonised_where_the_cable_says_so() -> None:
    """It is allowed and noted; a cable that says no is refused."""
    work = work_of(request_for({"L": "loose-96", "B": "roll-288"}, [ribbon_joint("L", "1-8", "B", "1-8")]), CATALOGUE)
    assert any("made into ribbons in the field" in note for note in work.notes)
    request = request_for({"L": "bare-8", "B": "roll-288"}, [ribbon_joint("L", "1", "B", "1")])
    assert faults(request) == [("/joints/0/from/ribbons", "no_ribbons")]


def test_a_pitch_change_is_allowed_and_told() -> None:
    """A 250 µm ribbon to a 200 µm one needs a suitable holder."""
    work = work_of(request_for({"A": "flat-288", "B": "roll-288"}, [ribbon_joint("A", "1", "B", "1")]), CATALOGUE)
    assert any("pitch change" in note for note in work.notes)


def test_all_faults_are_told_not_the_first() -> None:
    """Tags, codes, ranges and lengths in one answer."""
    request = request_for(
        {"A": "flat-288", "B": "nowhere"},
        [ribbon_joint("A", "1-30", "Q", "1-30"), ribbon_joint("A", "1-2", "A", "2-4")],
        closures=("none", "dome-48", "dome-48"),
    )
    found = faults(request)
    assert set(found) >= {
        ("/cables/1/cable", "unknown_code"),
        ("/closures/0", "unknown_code"),
        ("/closures/2", "duplicate"),
        ("/joints/0/from/ribbons", "outside"),
        ("/joints/0/to/cable", "unknown_tag"),
        ("/joints/1/to/ribbons", "used_twice"),
    }


def test_a_retired_cable_or_closure_is_refused_as_retired() -> None:
    """Retired is not unknown: the caller is told which it is."""
    catalogue = replace(
        CATALOGUE,
        cables={code: cable for code, cable in CATALOGUE.cables.items() if code != "roll-288"},
        closures={},
        retired=frozenset({"cables/roll-288", "closures/dome-48"}),
    )
    with pytest.raises(Refused) as refused:
        work_of(request_for({"A": "flat-288", "B": "roll-288"}, [ribbon_joint("A", "1", "B", "2")]), catalogue)
    assert [(fault.pointer, fault.code) for fault in refused.value.faults] == [
        ("/cables/1/cable", "retired"),
        ("/closures/0", "retired"),
    ]


def test_two_cables_of_one_tag_are_refused() -> None:
    """A tag names one cable."""
    request = request_for({"A": "flat-288"}, [ribbon_joint("A", "1", "A", "2")])
    twice = replace(request, cables=request.cables * 2)
    assert faults(twice) == [("/cables/1/tag", "duplicate")]


def test_both_ends_of_a_cut_express_ribbon_can_be_joined() -> None:
    """A ring cut: ribbon 1 in goes to C, ribbon 1 out comes from C; the same end twice is refused."""
    cables = {"A": "flat-288", "C": "drop-24"}
    ring = [
        Joint(side("A", "1"), side("C", "1")),
        Joint(side("A", "1", end="out"), side("C", "2")),
    ]
    work = work_of(request_for(cables, ring, express="A"), CATALOGUE)
    assert work.splices == 2
    assert faults(request_for(cables, [*ring, Joint(side("A", "1", end="out"), side("A", "2"))], express="A")) == [
        ("/joints/2/from/ribbons", "used_twice")
    ]


def test_ten_thousand_splices_are_the_most_at_one_point() -> None:
    """A request of a thousand joints over many cables is cut off before anything is laid out."""
    cables = {f"c{n}": "flat-288" for n in range(72)}
    joints = [fibre_joint(f"c{n}", "1-288", f"c{n + 1}", "1-288") for n in range(0, 72, 2)]
    assert faults(request_for(cables, joints)) == [("/joints", "too_many")]
