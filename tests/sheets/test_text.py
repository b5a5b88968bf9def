"""The text sheet of a plan, held against two sheets that were read through by hand."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import pytest

from service.domain.catalogue import Catalogue
from service.domain.plan import Plan, Reason
from service.domain.proof import Proof
from service.domain.refusal import LargestPart
from service.sheets.layout import WIDTH
from service.sheets.text import plan_text
from tests.sheets.small_plan import CATALOGUE, FITTING, REFUSED, REQUEST

_HERE = Path(__file__).parent


def test_a_plan_that_fits_is_told_whole() -> None:
    """Every part of the plan stands on the sheet, in the crew's order, word for word as in the sheet kept beside."""
    assert plan_text(FITTING, CATALOGUE, REQUEST) == (_HERE / "fitting.txt").read_text("utf-8")


def test_a_plan_that_does_not_fit_says_why_and_what_would_help() -> None:
    """The refusal is the first word, then need and have, then the remedies with whether they were tried."""
    assert plan_text(REFUSED, CATALOGUE) == (_HERE / "refused.txt").read_text("utf-8")


@pytest.mark.parametrize("plan", [FITTING, REFUSED], ids=["fits", "does not fit"])
def test_the_verdict_is_the_first_word(plan: Plan) -> None:
    """Who reads no further than the first line knows whether it fits, and where."""
    first = plan_text(plan, CATALOGUE).splitlines()[0]
    assert first == f"{'FITS' if plan.fits else 'DOES NOT FIT'}  {plan.name}"


@pytest.mark.parametrize("plan", [FITTING, REFUSED], ids=["fits", "does not fit"])
def test_no_line_is_wider_than_the_sheet_or_ends_in_a_blank(plan: Plan) -> None:
    """The sheet can be read on a screen of 88 columns and pasted without stray blanks."""
    lines = plan_text(plan, CATALOGUE, REQUEST).split("\n")
    assert [line for line in lines if len(line) > WIDTH or line != line.rstrip()] == []


def test_without_the_catalogue_codes_stand_by_themselves() -> None:
    """A plan outlives its catalogue: titles and colours are left out, codes and numbers are still there."""
    text = plan_text(FITTING, Catalogue(), REQUEST)
    assert "Closure dome\n" in text
    assert "\n  1  mix\n" in text
    assert "A ribbons 1-4  ->  B ribbons 1-4\n" in text
    assert "(blue)" not in text


def test_what_is_not_known_is_no_refusal() -> None:
    """A point that ended undecided is not said not to fit."""
    reasons = (Reason("undecided", 9, 9, "search steps", "it is not known whether the trays take the splices"),)
    plan = replace(REFUSED, reasons=reasons, remedies=(), largest_part=None, largest_part_undivided=None)
    text = plan_text(plan, CATALOGUE)
    assert text.splitlines()[0] == f"NOT KNOWN WHETHER IT FITS  {plan.name}"
    assert "HOW MUCH OF IT FITS" not in text and "WHAT WOULD MAKE IT FIT" not in text


@pytest.mark.parametrize(("proven", "told"), [(True, "None of it fits"), (False, "No part that fits was found")])
def test_where_no_part_fits_it_is_told_how_sure_that_is(proven: bool, told: str) -> None:
    """Ruled out, or only not found."""
    part = LargestPart("dome", 0, 0 if proven else 36, proven, ())
    text = plan_text(replace(REFUSED, largest_part=part, largest_part_undivided=None), CATALOGUE)
    assert f"HOW MUCH OF IT FITS\n  {told} in closure dome.\n" in text


def test_what_is_not_proven_is_said() -> None:
    """A plan that fits and is not proven best names each objective with its gap, and none that has no gap."""
    proof = Proof(False, 3, 2, 45.0, 30.0, 1, 1, 7, 7, "stopped at the node limit", 9)
    text = plan_text(replace(FITTING, proof=proof), CATALOGUE)
    told = " ".join(text.split("PROOF\n")[1].split("\n\n")[0].split())
    assert told == (
        "It fits, but it is not proven to be the best: new trays 3 where 2 is not ruled out and stack height 45 mm "
        "where 30 mm is not ruled out. How: Stopped at the node limit."
    )


def test_a_plan_with_nothing_but_a_verdict_has_no_empty_headings() -> None:
    """A part that has nothing to say is not there at all."""
    bare = Plan("", True, None, FITTING.rules, 0, 0)
    assert plan_text(bare, CATALOGUE) == "FITS\n  0 splices in 0 bundles on 0 trays.\n"


def test_hanging_trays_are_told_from_new_ones() -> None:
    """In a closure that hangs already the crew sees which trays it opens and how many it adds."""
    hanging = replace(FITTING.trays[0], new=False)
    added = replace(FITTING.trays[0], position=2)
    text = plan_text(replace(FITTING, trays=(hanging, added)), CATALOGUE)
    assert "on 2 trays, 1 of them new." in text
    assert "1  mix, Mixed tray; hangs already\n" in text
    assert "2  mix, Mixed tray\n" in text
