"""The plot of closure kinds: well-formed, every figure written out, and fit for whoever cannot see it."""

from __future__ import annotations

from xml.etree import ElementTree

import pytest

from service.domain.closure_kinds import ClosureKinds
from service.planning.closure_kinds import choose_closure_kinds
from service.sheets.kinds_amounts import amount_text
from service.sheets.kinds_plot import kinds_plot
from tests.planning.closure_kinds.builds import models, orderly, point_class

_SVG = "{http://www.w3.org/2000/svg}"


@pytest.fixture(scope="module")
def kinds() -> ClosureKinds:
    """A build in which one model alone leaves points without a closure."""
    return choose_closure_kinds(orderly(120, 40, 2), models(40), 3)


def _words(plot: bytes) -> str:
    return "\n".join(part.text or "" for part in ElementTree.fromstring(plot).iter(f"{_SVG}text"))


def test_every_row_has_its_total_and_its_models_written(kinds: ClosureKinds) -> None:
    """Totals, what each restriction costs, and each model with its points stand in the plot as text."""
    words = _words(kinds_plot(kinds)).replace("\u00a0", " ").replace("\n", " ")
    for row in kinds.rows:
        assert amount_text(kinds, row.total) in words
        assert row.above_best is None or amount_text(kinds, row.above_best) in words
        for share in row.shares:
            assert f"{share.closure} {share.points:,}" in words


def test_points_without_a_closure_are_told_and_have_no_bar(kinds: ClosureKinds) -> None:
    """A row that leaves points unserved has a dashed box with their number instead of a bar."""
    left_out = kinds.rows[0].unserved
    assert left_out > 0
    plot = kinds_plot(kinds)
    assert f"{left_out} points" in _words(plot)
    bars = [part for part in ElementTree.fromstring(plot).iter(f"{_SVG}rect") if part.get("fill") == "url(#hatched)"]
    assert len(bars) == len([row for row in kinds.rows if row.above_best])


def test_bars_are_as_high_as_what_they_cost(kinds: ClosureKinds) -> None:
    """Heights are in proportion to the amounts above the least."""
    root = ElementTree.fromstring(kinds_plot(kinds))
    heights = [
        float(part.get("height", "")) for part in root.iter(f"{_SVG}rect") if part.get("fill") == "url(#hatched)"
    ]
    costs = [float(row.above_best) for row in kinds.rows if row.above_best]
    assert heights == pytest.approx([max(heights) * cost / max(costs) for cost in costs], abs=0.06)


def test_the_plot_is_told_in_words_and_in_black_and_white(kinds: ClosureKinds) -> None:
    """Title and description are referred to, the description has every row, and no colour is used."""
    root = ElementTree.fromstring(kinds_plot(kinds, "<Ferrow> & Lane"))
    told = (root.get("role"), root.get("aria-labelledby"), root.get("aria-describedby"))
    assert told == ("graphics-document document", "title", "desc")
    title, description = root.find(f"{_SVG}title"), root.find(f"{_SVG}desc")
    assert title is not None and title.text == "What few kinds of closure cost: <Ferrow> & Lane"
    assert description is not None and description.text is not None
    assert all(f"At most {row.most}: " in description.text for row in kinds.rows)
    shades = {part.get(name) for part in root.iter() for name in ("fill", "stroke")}
    assert shades <= {None, "#fff", "#000", "none", "url(#hatched)"}


def test_a_build_that_fits_nothing_is_told_so() -> None:
    """Without rows there are no bars but a sentence."""
    kinds = choose_closure_kinds([point_class(7, [None])], models(1), 3)
    assert "No closure model fits any of the points." in _words(kinds_plot(kinds))


def test_the_same_choice_gives_the_same_plot(kinds: ClosureKinds) -> None:
    """Byte for byte, with a line break in the name on one line."""
    assert kinds_plot(kinds, "one\ntwo\x00") == kinds_plot(kinds, "one two")
