"""Published examples of the negative binomial, and tables computed from it, against the sleeves to carry."""

from __future__ import annotations

import pytest

from service.planning.spares import mass_rework, remakes_within, sleeves_needed


@pytest.mark.parametrize(("confidence", "houses"), [(0.90, 18), (0.95, 21), (0.99, 25), (0.999, 32)])
def test_the_candy_seller_visits_as_many_houses_as_published(confidence: float, houses: int) -> None:
    """Five sales at a success of 0.4: 21 houses at 95 %, as the example of Boost.Math prints it (read).

    The other three are its fractional answers 17.8, 24.8 and 31.1 rounded up.
    """
    assert sleeves_needed([(5, 0.6)], confidence) == houses


@pytest.mark.parametrize(
    ("houses", "probability"),
    # Done by the 8th, 10th, 11th, 12th and 30th house, as the same example prints them (read).
    [(8, 0.17367), (10, 0.3669), (11, 0.46723), (12, 0.56182), (30, 0.99849)],
)
def test_the_chance_to_be_done_steps_where_published(houses: int, probability: float) -> None:
    """Just under the printed probability so many houses are enough, just over it one more is needed."""
    assert sleeves_needed([(5, 0.6)], probability - 1e-4) == houses
    assert sleeves_needed([(5, 0.6)], probability + 1e-4) == houses + 1


_TABLE = """
1    1/1/1        1/1/2        1/1/2        1/1/2        1/2/2
12   13/13/13     13/13/14     13/14/14     14/14/15     15/16/17
24   25/25/26     25/26/27     26/26/27     27/27/29     29/30/31
72   74/74/75     75/76/77     76/77/78     78/79/81     84/85/88
144  147/148/149  149/150/152  151/152/154  155/157/159  166/167/171
288  293/294/296  297/298/300  301/302/305  308/310/313  328/330/335
576  585/586/588  592/594/597  599/601/605  614/616/620  651/654/660
864  877/878/880  887/889/892  898/900/904  918/921/926  973/977/985
"""


@pytest.mark.parametrize("line", _TABLE.split("\n")[1:-1])
def test_sleeves_for_planner_sizes_are_the_computed_ones(line: str) -> None:
    """Splices, then sleeves at 90/95/99 % for rework of 1, 2, 3, 5 and 10 % (computed exactly from the definition)."""
    splices, *cells = line.split()
    found = [
        "/".join(str(sleeves_needed([(int(splices), rate)], confidence)) for confidence in (0.90, 0.95, 0.99))
        for rate in (0.01, 0.02, 0.03, 0.05, 0.10)
    ]
    assert found == cells


def test_pooling_over_a_build_saves_sleeves() -> None:
    """Twenty-four points of twelve splices at 5 % and 95 %: 336 sleeves apart, 310 pooled (computed)."""
    assert 24 * sleeves_needed([(12, 0.05)], 0.95) == 336
    assert sleeves_needed([(12, 0.05)] * 24, 0.95) == 310


def test_a_confidence_a_point_is_no_confidence_for_the_build() -> None:
    """Each point's two spares hold with 96.99 %, so all 24 together with 48 % only (computed)."""
    assert remakes_within([(12, 0.05)], 0.9699) == 2
    assert remakes_within([(12, 0.05)], 0.9700) == 3
    assert round(0.9699**24, 2) == 0.48


@pytest.mark.parametrize(
    ("p", "by_fibres"),
    [
        (0.001, "0.00399 0.00599 0.00797 0.01193 0.01588 0.02373"),
        (0.005, "0.01985 0.02963 0.03931 0.05838 0.07707 0.11335"),
        (0.01, "0.03940 0.05852 0.07726 0.11362 0.14854 0.21432"),
        (0.02, "0.07763 0.11416 0.14924 0.21528 0.27620 0.38422"),
    ],
)
def test_a_ribbon_is_remade_as_often_as_computed(p: float, by_fibres: str) -> None:
    """1 - (1 - p)^n for 4, 6, 8, 12, 16 and 24 fibres (computed)."""
    assert " ".join(f"{mass_rework(p, n):.5f}" for n in (4, 6, 8, 12, 16, 24)) == by_fibres
