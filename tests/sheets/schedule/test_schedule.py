"""The schedule of a plan as CSV and as a workbook."""

from __future__ import annotations

import csv
import io

import pytest

from service.sheets.schedule.text_csv import HEAD, schedule_csv
from service.sheets.schedule.workbook import plan_xlsx
from tests.sheets.read_back import opened, rows, sums
from tests.sheets.schedule.demo_dossier import CREATED, demo_dossier, points_that

FITTING = points_that(True)


@pytest.mark.parametrize("point", FITTING)
def test_every_splice_of_the_plan_is_one_line(point: int) -> None:
    """Tray, bank and slot of each line are those of a splice of the plan, each once, and so are its ends."""
    dossier = demo_dossier(point)
    told = list(csv.DictReader(io.StringIO(schedule_csv(dossier).decode(), newline="")))
    found = sorted(
        (int(line["tray"]), int(line["bank"]), int(line["slot"]), line["from_cable"], int(line["from_ribbon"]))
        for line in told
    )
    assert found == sorted(
        (tray.position, splice.bank, splice.slot, splice.from_.cable, splice.from_.ribbon)
        for tray in dossier.plan.trays
        for splice in tray.splices
    )
    assert [line["splice"] for line in told] == [str(number) for number in range(1, len(told) + 1)]


@pytest.mark.parametrize("point", FITTING)
def test_every_fibre_that_is_joined_is_named_once_on_each_side(point: int) -> None:
    """The fibres of all lines are as many as the plan joins, and no end of a fibre stands twice."""
    dossier = demo_dossier(point)
    ends = []
    for line in csv.DictReader(io.StringIO(schedule_csv(dossier).decode(), newline="")):
        for side in ("from", "to"):
            first, _, last = line[f"{side}_fibres"].partition("-")
            numbers = range(int(first), int(last or first) + 1)
            assert len(numbers) == int(line["fibres"])
            ends += [(line[f"{side}_cable"], line[f"{side}_end"], number) for number in numbers]
    assert len(set(ends)) == len(ends)
    joined = sum(splice.fibres for tray in dossier.plan.trays for splice in tray.splices)
    assert len(ends) == 2 * joined


def test_a_plan_that_does_not_fit_has_a_head_alone_and_its_reasons_in_the_workbook() -> None:
    """There is nothing to splice from, and the workbook says why."""
    dossier = demo_dossier(points_that(False)[0])
    assert schedule_csv(dossier).decode() == ",".join(HEAD) + "\r\n"
    book = opened(plan_xlsx(dossier))
    assert book.sheetnames == ["Plan"]
    assert {row[1] for row in rows(book["Plan"]) if row[0] == "Reason"} == {r.text for r in dossier.plan.reasons}


def test_the_workbook_has_a_row_a_splice_and_a_row_a_fibre() -> None:
    """The schedule's rows and those of the losses are as many as the plan's splices and fibres."""
    dossier = demo_dossier(9)
    book = opened(plan_xlsx(dossier))
    assert book.sheetnames == ["Plan", "Splices", "Losses", "Slack", "Materials"]
    fibres = [splice.fibres for tray in dossier.plan.trays for splice in tray.splices]
    assert len(rows(book["Splices"])) == 1 + len(fibres)
    assert len(rows(book["Losses"])) == 1 + sum(fibres)
    assert len(rows(book["Slack"])) == 1 + len(dossier.plan.slack)
    assert len(rows(book["Materials"])) == 1 + len(dossier.plan.materials) + 1


def test_sums_and_bytes_are_right() -> None:
    """The sum of the materials is a formula with its value, and twice the same plan is twice the same file."""
    content = plan_xlsx(demo_dossier(8))
    assert content == plan_xlsx(demo_dossier(8))
    found = sums(content)
    assert found and all(told == pytest.approx(calculated, abs=1e-9) for told, calculated in found.values())
    assert opened(content).properties.created == CREATED.replace(tzinfo=None)


def test_what_is_filled_in_is_held_to_bounds_by_the_spreadsheet() -> None:
    """Remakes are whole numbers, losses are numbers: the sheet itself says so to whoever types."""
    book = opened(plan_xlsx(demo_dossier(8)))
    kinds = {each.type for each in book["Splices"].data_validations.dataValidation}
    assert kinds == {"whole"}
    kinds = {each.type for each in book["Losses"].data_validations.dataValidation}
    assert kinds == {"whole", "decimal"}
