"""Lines out of blocks: wherever a block ends, the lines are the same."""

from __future__ import annotations

from hypothesis import given
from hypothesis import strategies as st

from service.building.lines import Line, lines_of

texts = st.lists(st.sampled_from([b"", b" ", b"\r", b"a", b"{}", b"long line", b"\xff"]), max_size=8)


def in_blocks(text: bytes, size: int) -> list[bytes]:
    """The text in pieces of this size."""
    return [text[at : at + size] for at in range(0, len(text), size)]


@given(texts, st.booleans(), st.integers(1, 12))
def test_lines_do_not_depend_on_the_blocks(lines: list[bytes], ended: bool, size: int) -> None:
    """Blank lines are passed over and counted; the last line may lack its end."""
    text = b"\n".join(lines) + (b"\n" if ended else b"")
    expected = [Line(number, line) for number, line in enumerate(text.split(b"\n"), start=1) if line.strip()]
    assert list(lines_of(in_blocks(text, size), 100)) == expected


@given(texts, st.integers(1, 12), st.integers(0, 9))
def test_a_line_that_is_too_long_is_told_and_not_kept(lines: list[bytes], size: int, longest: int) -> None:
    """Only its number comes, and the lines after it are as they would be."""
    text = b"\n".join(lines)
    told = {line.number: line.text for line in lines_of(in_blocks(text, size), longest)}
    for number, line in enumerate(text.split(b"\n"), start=1):
        if len(line) > longest:
            assert told[number] is None
        elif line.strip():
            assert told[number] == line
        else:
            assert number not in told


def test_no_more_than_a_line_is_held() -> None:
    """A stream without any line feed is read to its end without being kept."""
    blocks = (b"x" * 1000 for _ in range(5000))
    assert list(lines_of(blocks, 2000)) == [Line(1, None)]
