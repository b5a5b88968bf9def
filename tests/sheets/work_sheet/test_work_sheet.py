"""The work sheet: all that a crew needs on paper, and a code that leads to the plan."""

from __future__ import annotations

import io
import re
from dataclasses import replace
from functools import cache
from pathlib import Path

import numpy as np
import pypdfium2
import pytest
import zxingcpp
from PIL import Image
from pypdf import PdfReader

from service.sheets.work_sheet.sheet import work_sheet_pdf
from tests.demo.files import DEMO
from tests.sheets.schedule.demo_dossier import demo_dossier, points_that

LINK = "https://plans.example/plans/00000000000000000000000000000008"
FITTING = points_that(True)
GOLDEN = Path(__file__).parent


@cache
def sheet(point: int) -> bytes:
    """The work sheet of a demo point."""
    return work_sheet_pdf(demo_dossier(point, LINK))


def second_visit(name: str) -> bytes:
    """A sheet of the demo's second visit, as it is committed."""
    return (DEMO / "second-visit" / f"second-{name}").read_bytes()


def text_of(content: bytes) -> str:
    """All words of a PDF, blanks and line ends as one blank."""
    return re.sub(r"\s+", " ", " ".join(page.extract_text() for page in PdfReader(io.BytesIO(content)).pages))


def picture(content: bytes, page: int, scale: float) -> Image.Image:
    """A page as a picture in grey, so many pixels a point."""
    with pypdfium2.PdfDocument(content) as document:
        return document[page].render(scale=scale, grayscale=True).to_pil()


@pytest.mark.parametrize("point", FITTING)
def test_every_splice_has_a_line_with_a_box_to_tick(point: int) -> None:
    """As many lines with both ends as the plan has splices, and every material has a box besides."""
    plan = demo_dossier(point).plan
    told = text_of(sheet(point))
    assert told.count("☐") == plan.splices + len(plan.materials) + 4
    for tray in plan.trays:
        assert f"Tray {tray.position} of {len(plan.trays)}: {tray.tray}" in told


@pytest.mark.parametrize("point", FITTING)
def test_lengths_ports_and_preparation_stand_on_it(point: int) -> None:
    """Every port with its cables, every sheath opening and every card's strip and cleave length."""
    plan = demo_dossier(point).plan
    told = text_of(sheet(point))
    for use in plan.ports:
        assert use.port in told
    for slack in plan.slack:
        assert f"{slack.sheath_opening_mm:g} mm" in told
    for card in plan.preparation:
        assert card.title in told
        if card.strip_length_mm is not None:
            assert f"{card.strip_length_mm:g} ± {card.strip_tolerance_mm:g} mm" in told
        if card.holder is not None:
            assert card.holder in told


@pytest.mark.parametrize("point", [0, 8, 23, 34])
def test_cautions_come_first(point: int) -> None:
    """They stand on the first page, before anything that is to be done."""
    first = re.sub(r"\s+", " ", PdfReader(io.BytesIO(sheet(point))).pages[0].extract_text())
    plan = demo_dossier(point).plan
    for caution in plan.cautions:
        assert caution in first
    after = "Cables, ports" if plan.fits else "Why it does not fit"
    assert first.index(plan.cautions[-1]) < first.index(after)


@pytest.mark.parametrize("point", [point for point in FITTING if demo_dossier(point).plan.splices <= 48])
def test_an_ordinary_closure_takes_two_to_four_pages(point: int) -> None:
    """Up to 48 splices; larger closures take a page more for some 35 further splices."""
    assert 2 <= len(PdfReader(io.BytesIO(sheet(point))).pages) <= 4


def test_the_code_leads_to_the_plan() -> None:
    """A reader of codes finds the plan's address in the picture of the printed page."""
    (found,) = zxingcpp.read_barcodes(np.asarray(picture(sheet(8), 0, 2)))
    assert found.text == LINK


def test_without_an_address_there_is_no_code() -> None:
    """A plan from the command line leads nowhere."""
    content = work_sheet_pdf(demo_dossier(8))
    assert zxingcpp.read_barcodes(np.asarray(picture(content, 0, 2))) == []
    assert "http" not in text_of(content)


def test_a_plan_that_does_not_fit_cannot_be_built_from() -> None:
    """It says so at the top, with reasons and remedies, and has no splices and nothing to take along."""
    dossier = demo_dossier(34)
    told = text_of(sheet(34))
    assert "DOES NOT FIT" in told and "Take along" not in told and "Splices, tray by tray" not in told
    for reason in dossier.plan.reasons:
        assert reason.text in told


def test_a_second_visit_marks_what_hangs_already() -> None:
    """A tray that hangs is told from one to add, and only what is new has lines."""
    plan = demo_dossier(21).plan
    told = text_of(sheet(21))
    assert told.count("(hangs already)") == sum(not tray.new for tray in plan.trays)
    assert told.count("(add it)") == sum(tray.new for tray in plan.trays)


def test_a_cable_that_hangs_is_told_from_one_to_bring() -> None:
    """It says that it hangs, its port keeps its seal, and a sheath that is open is not opened again."""
    told = text_of(second_visit("sheet.pdf"))
    assert told.count("HANGS ALREADY") == 3
    assert told.count("as it is") == 3 and "round-2 7.2 mm" in told
    assert "B open already" in told and "D 1550 mm" in told
    assert "HANGS ALREADY" not in text_of(sheet(8)) and "open already" not in text_of(sheet(8))


def test_a_second_visit_says_where_the_ends_to_be_spliced_lie_parked() -> None:
    """The ribbon and the fibres of B that go to the new cable are found in the tray that they were parked in."""
    told = text_of(second_visit("sheet.pdf"))
    one, other = "1 ribbon of B tube 2 (orange)", "8 loose fibres of B tube 2 (orange)"
    tray = told[told.index("Tray 1 of 3") : told.index("Tray 2 of 3")]
    assert "parked here by earlier visits" in tray and one in tray and other in tray
    drawn = second_visit("drawing.svg").decode()
    assert drawn.count("parked before:") == 4


@pytest.mark.parametrize("point", FITTING)
def test_no_heading_and_no_tray_begins_at_a_pages_foot(point: int) -> None:
    """A card follows its heading on the same page, and three splices, or all there are, their tray's title."""
    for page in PdfReader(io.BytesIO(sheet(point))).pages:
        words = re.sub(r"\s+", " ", page.extract_text())
        if " Preparation " in words:
            assert "Strip length" in words.split(" Preparation ")[1]
        for title in re.finditer(r"Tray (\d+) of \d+: (.*?)(?=Tray \d+ of|$)", words):
            planned = next(tray for tray in demo_dossier(point).plan.trays if tray.position == int(title[1]))
            assert title[2].count("☐") >= min(3, len(planned.splices))


@pytest.mark.parametrize("point", FITTING)
def test_a_page_by_itself_says_which_tray_its_splices_lie_in(point: int) -> None:
    """The pages of a sheet get parted: every table's head names the tray, on every page that it goes on to."""
    for page in PdfReader(io.BytesIO(sheet(point))).pages:
        words = re.sub(r"\s+", " ", page.extract_text())
        if re.search(r"☐ \d+ · \d+ ", words):
            before = words[: re.search(r"☐ \d+ · \d+ ", words).start()]  # type: ignore[union-attr]
            assert re.search(r"Tray \d+ From To Sleeve", before)


def test_letters_that_the_font_lacks_are_told_of() -> None:
    """A name in letters that cannot be printed is not lost in silence."""
    dossier = demo_dossier(8)
    named = replace(dossier, plan=replace(dossier.plan, name="接続箱 7"))
    assert "cannot be printed" in text_of(work_sheet_pdf(named))


def test_the_same_plan_makes_the_same_bytes() -> None:
    """The date in the file is the plan's."""
    assert sheet(8) == work_sheet_pdf(demo_dossier(8, LINK))


def test_the_words_are_those_that_were_agreed() -> None:
    """The whole text of a small closure's sheet, held against a copy that somebody has read."""
    golden = GOLDEN / "straight_joint.txt"
    assert "\n".join(page.extract_text() for page in PdfReader(io.BytesIO(sheet(6))).pages) == golden.read_text()


@pytest.mark.parametrize("page", [0, 1])
def test_the_pages_look_as_they_did_when_somebody_looked_at_them(page: int) -> None:
    """Pages of a small closure's sheet against pictures of them; a thin line may move, a block may not."""
    golden = Image.open(GOLDEN / f"straight_joint_{page + 1}.png").convert("L")
    found = picture(sheet(6), page, 0.7)
    assert found.size == golden.size
    # Averaged over eight by eight pixels, so that smoothing of edges by another version does not count.
    small = (golden.width // 8, golden.height // 8)
    one, other = (np.asarray(each.resize(small, Image.Resampling.BOX), dtype=float) for each in (golden, found))
    assert np.abs(one - other).max() < 40
