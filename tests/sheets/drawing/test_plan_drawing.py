"""The drawing of a plan: everything of the plan is in it, in words beside colours, and nothing covers anything."""

from __future__ import annotations

import re
import time
from dataclasses import replace
from itertools import combinations, pairwise
from pathlib import Path
from xml.etree import ElementTree

import pytest

from service.domain.dossier import Dossier
from service.domain.request import CableAtPoint
from service.sheets.drawing.fills import FILLS
from service.sheets.drawing.letters import width_of
from service.sheets.drawing.plan_drawing import PAGE, Layout, plan_picture, plan_svg
from service.sheets.drawing.shapes import Box, Picture, Text
from service.standards.colours import ORDER, colour
from tests.sheets.drawing.drawn import POINTS, demo, large, small, visited

_SVG = "{http://www.w3.org/2000/svg}"
_GOLDEN = Path(__file__).parent / "small_plan.svg"
LAYOUTS: tuple[Layout, ...] = ("paper", "phone")
EVERY = [(point, layout) for point in range(len(POINTS)) for layout in LAYOUTS]


def texts(picture: Picture) -> list[tuple[float, float, Text]]:
    """Every text with the place of its block."""
    return [
        (part.x + shape.x, part.y + shape.y, shape)
        for part in picture.parts
        for shape in part.block.shapes
        if isinstance(shape, Text)
    ]


def boxes(picture: Picture) -> list[tuple[float, float, float, float, str]]:
    """Left, top, right and bottom of every text by the estimate of its width, and its words."""
    found = []
    for x, y, text in texts(picture):
        width = width_of(text.words, text.size, text.bold)
        left = x - {"start": 0.0, "middle": width / 2, "end": width}[text.anchor]
        found.append((left, y - 0.75 * text.size, left + width, y + 0.2 * text.size, text.words))
    return found


def words_of(picture: Picture) -> list[str]:
    """The words of the picture in their order."""
    return [text.words for _, _, text in texts(picture)]


def assert_nothing_covers(picture: Picture) -> None:
    """No two texts overlap, and none leaves the picture."""
    found = sorted(boxes(picture), key=lambda box: box[1])
    for place, (left, _, right, bottom, words) in enumerate(found):
        assert left >= 0, words
        assert right <= picture.width, words
        assert bottom <= picture.height, words
        for other in found[place + 1 :]:
            if other[1] >= bottom:
                break
            assert other[0] >= right or other[2] <= left, (words, other[4])


@pytest.mark.parametrize(("point", "layout"), EVERY)
def test_no_text_covers_another_or_leaves_the_picture(point: int, layout: Layout) -> None:
    """In all of the demo, in letters as wide as those of DejaVu Sans."""
    assert_nothing_covers(plan_picture(demo(point), layout))


@pytest.mark.parametrize("layout", LAYOUTS)
def test_long_names_are_broken_and_cover_nothing(layout: Layout) -> None:
    """A tag, a keep-apart label and a name as long as they may be, without a blank to break them at."""
    dossier = visited()
    long = "W" * 60
    tray = dossier.plan.trays[0]
    splices = tuple(each._replace(from_=each.from_._replace(cable=long)) for each in tray.splices)
    ports = (replace(dossier.plan.ports[0], cables=(long, long)), *dossier.plan.ports[1:])
    plan = replace(
        dossier.plan, name=long * 2, ports=ports, trays=(replace(tray, splices=splices, keep_apart=long * 2),)
    )
    cables = (*dossier.request.cables, CableAtPoint(long, "flat-96"))
    request = replace(dossier.request, cables=cables)
    assert_nothing_covers(plan_picture(replace(dossier, plan=plan, request=request), layout))


@pytest.mark.parametrize("layout", LAYOUTS)
@pytest.mark.parametrize("point", range(len(POINTS)))
def test_every_splice_is_drawn_once_with_its_slot_and_both_ends(point: int, layout: Layout) -> None:
    """Number of the slot, then cable with ribbon or fibre on either side, in the block of the splice's tray."""
    dossier = demo(point)
    trays = {part.block.title: part.block for part in plan_picture(dossier, layout).parts}
    for tray in dossier.plan.trays:
        block = trays[
            f"Tray {tray.position} of {len(dossier.plan.trays)}: {tray.tray}"
            + (", new" if tray.new and any(not each.new for each in dossier.plan.trays) else "")
        ]
        shown = [shape.words for shape in block.shapes if isinstance(shape, Text)]
        drawn = [
            (
                int(words),
                [each for each in shown[place + 1 : place + 9] if re.search(r" (ribbon|fibre) \d+$", each)][:2],
            )
            for place, words in enumerate(shown[:-1])
            if words.isdigit() and re.search(r" (ribbon|fibre) \d+$", shown[place + 1])
        ]
        meant = []
        for splice in sorted(tray.splices, key=lambda each: (each.bank, each.slot)):
            ends = []
            for end in (splice.from_, splice.to):
                what = f"ribbon {end.ribbon}" if end.fibre is None else f"fibre {end.fibre}"
                ends.append(f"{end.cable}{' (out)' if end.end == 'out' else ''} {what}")
            meant.append((splice.slot, ends))
        assert drawn == meant


@pytest.mark.parametrize("layout", LAYOUTS)
def test_every_square_of_a_colour_has_its_number_and_name_beside_it(layout: Layout) -> None:
    """What red and brown are to a copier and to some eyes is told by the words right of the square."""
    for point in (4, 8, 13, 22, 30):
        picture = plan_picture(demo(point), layout)
        for part in picture.parts:
            shapes = part.block.shapes
            for square in (each for each in shapes if isinstance(each, Box) and each.fill in FILLS.values()):
                if (square.width, square.height, square.stroke) != (11, 11, 2):
                    continue
                beside = [
                    each.words
                    for each in shapes
                    if isinstance(each, Text) and 0 < each.x - square.x < 20 and 0 < each.y - square.y < 14
                ]
                name = next(name for name, fill in FILLS.items() if fill == square.fill)
                told = re.match(r"(?:tube )?(\d+) (.*)", beside[0])
                assert told is not None
                assert told[2] == colour(int(told[1])).text
                assert colour(int(told[1])).name == name


def test_twelve_tints_are_told_apart_by_most_eyes() -> None:
    """Each is another one, and neighbours of the order differ in lightness by 8 of 100 at least (our own measure)."""
    assert list(FILLS) == list(ORDER)
    assert len(set(FILLS.values())) == 12
    assert min(abs(_lightness(FILLS[a]) - _lightness(FILLS[b])) for a, b in pairwise(ORDER)) >= 8


def _lightness(fill: str) -> float:
    """CIE L* of an sRGB colour (IEC 61966-2-1 and CIE 15, from memory)."""
    shares = [int(fill[place : place + 2], 16) / 255 for place in (1, 3, 5)]
    linear = [share / 12.92 if share <= 0.04045 else ((share + 0.055) / 1.055) ** 2.4 for share in shares]
    y = 0.2126 * linear[0] + 0.7152 * linear[1] + 0.0722 * linear[2]
    return 116 * y ** (1 / 3) - 16 if y > 0.008856 else 903.3 * y


def test_the_smallest_text_is_legible_on_a_phone() -> None:
    """11 px and more on a screen 360 px wide (common practice, no source)."""
    picture = plan_picture(demo(8), "phone")
    assert min(text.size for _, _, text in texts(picture)) * 360 / picture.width >= 11


def test_text_stands_out_from_white() -> None:
    """Every text is black or a grey of 7:1 at least (WCAG 2.2, success criterion 1.4.6)."""
    shades = {text.colour for dossier in (small(), visited()) for _, _, text in texts(plan_picture(dossier))}
    for shade in shades:
        full = shade if len(shade) == 7 else "#" + "".join(2 * digit for digit in shade[1:])
        lightness = _lightness(full)
        y = ((lightness + 16) / 116) ** 3 if lightness > 8 else lightness / 903.3
        assert 1.05 / (y + 0.05) >= 7


def test_what_lies_what_is_taken_and_what_is_new_are_told_apart() -> None:
    """A second visit: new splices say so and have a bar, those of the first visit lie already, a slot is taken."""
    picture = plan_picture(visited())
    words = words_of(picture)
    assert (words.count("lies already"), words.count("new")) == (2, 2)
    assert words[words.index("taken before") + 1] == "3"
    assert words[words.index("free") + 1] == "6"
    bars = [s for p in picture.parts for s in p.block.shapes if isinstance(s, Box) and (s.width, s.fill) == (5, "#000")]
    assert len(bars) == 2


def test_a_first_visit_marks_nothing_as_new() -> None:
    """Where everything is new the word would say nothing."""
    assert "new" not in words_of(plan_picture(small()))


def test_the_reserve_is_marked_on_the_last_free_slots() -> None:
    """One of ten free single slots is kept: the last one, 12; 3 to 11 are free."""
    words = words_of(plan_picture(small()))
    kept, free = words.index("free, kept for growth"), words.index("free")
    assert words[kept + 1] == "12"
    assert words[free + 1 : free + 10] == [str(slot) for slot in range(3, 12)]


def test_ports_parked_ends_and_storage_are_told() -> None:
    """Cables with their diameters and seals, blanks, what is parked, what the channel holds, who is kept apart."""
    told = " ".join(words_of(plan_picture(small())))
    for words in (
        ["1", "oval-1:", "cable", "B", "in", "and", "out,", "14", "mm", "seal", "14", "mm"][1],
        "cable B in and out, 14 mm",
        "Blank, each with a plug: 4 round-3, 5 round-4.",
        "1 ribbon and 10 loose fibres of A,",
        "storage channel: 58.2 of 240 mm²",
        "kept apart for: lease",
    ):
        assert words in told


@pytest.mark.parametrize("layout", LAYOUTS)
def test_a_plan_that_does_not_fit_is_drawn_as_its_reasons(layout: Layout) -> None:
    """Verdict, every reason and remedy; no tray and no closure to build from."""
    picture = plan_picture(small(fits=False), layout)
    told = " ".join(words_of(picture))
    assert "DOES NOT FIT" in told
    for text in [
        *(each.text for each in small(False).plan.reasons),
        *(each.text for each in small(False).plan.remedies),
    ]:
        assert text[1:] in told
    assert not any(part.block.title.startswith(("Tray", "Closure")) for part in picture.parts)


def test_no_part_runs_over_the_end_of_a_page_that_could_hold_it() -> None:
    """On paper every block lies on one A4 page, unless it is higher than one."""
    for point in range(len(POINTS)):
        for part in plan_picture(demo(point)).parts:
            if part.block.height <= PAGE - 20:
                assert part.y // PAGE == (part.y + part.block.height - 0.01) // PAGE


@pytest.mark.parametrize(
    "dossier", [small(), small(False), visited(), demo(30)], ids=["small", "refused", "hung", "hub"]
)
def test_the_file_is_plain_and_safe_svg(dossier: Dossier) -> None:
    """Well-formed, named for screen readers, every tray a named group; no script, style, handler or address."""
    root = ElementTree.fromstring(plan_svg(dossier))
    assert root.get("aria-labelledby") == "title"
    titles = [title.text or "" for title in root.iter(f"{_SVG}title")]
    assert sum(title.startswith("Tray ") for title in titles) == len(dossier.plan.trays)
    assert {part.tag.removeprefix(_SVG) for part in root.iter()} <= {
        "svg", "title", "desc", "defs", "pattern", "g", "rect", "circle", "path", "text",
    }  # fmt: skip
    names = {name for part in root.iter() for name in part.attrib}
    assert not [name for name in names if name.startswith("on") or name in ("style", "class") or "href" in name]


def test_names_cannot_break_out_of_their_text() -> None:
    """Marks of XML are text, control characters go."""
    plan = replace(small().plan, name='</text><script>alert("x")</script>\x00\x1b & more')
    root = ElementTree.fromstring(plan_svg(replace(small(), plan=plan)))
    assert root.find(f".//{_SVG}script") is None
    title = root.find(f"{_SVG}title")
    assert title is not None
    assert title.text == 'Drawing: </text><script>alert("x")</script> & more'


def test_what_the_catalogue_does_not_know_is_drawn_by_numbers() -> None:
    """Without entries of closure, trays and cables there are no colours of tubes, and nothing is guessed."""
    dossier = small()
    bare = replace(dossier, catalogue=replace(dossier.catalogue, cables={}, closures={}, trays={}))
    words = words_of(plan_picture(bare))
    assert "A ribbon 1" in words
    assert not any(re.search(r"^tube \d+ [a-z]", each) for each in words)


def test_a_large_plan_is_small_and_quick() -> None:
    """A thousand splices stay under 1 MB; the time allowed is ten times what it takes on a quiet machine."""
    start = time.process_time()
    drawn = plan_svg(large(1008))
    assert time.process_time() - start < 2
    assert len(drawn) < 1_000_000


def test_the_same_plan_is_the_same_drawing() -> None:
    """Byte for byte; ``python -m tests.sheets.drawing.test_plan_drawing`` writes the golden file anew."""
    assert plan_svg(small()) == plan_svg(small()) == _GOLDEN.read_bytes()


def test_the_two_layouts_say_the_same() -> None:
    """Words are broken in other places, nothing is left out."""
    paper, phone = (re.sub(r"\s", "", "".join(words_of(plan_picture(small(), each)))) for each in LAYOUTS)
    assert sorted(paper) == sorted(phone)


def test_squares_do_not_touch() -> None:
    """Squares of colours in one row or below each other have white between them."""
    for part in plan_picture(demo(22), "phone").parts:
        squares = [s for s in part.block.shapes if isinstance(s, Box) and (s.width, s.stroke) == (11, 2)]
        for one, other in combinations(squares[:80], 2):
            assert abs(one.x - other.x) > 13 or abs(one.y - other.y) > 13


if __name__ == "__main__":
    _GOLDEN.write_bytes(plan_svg(small()))
