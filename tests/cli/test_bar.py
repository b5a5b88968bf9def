"""The bar of progress where there is no terminal: lines, and not too many of them."""

from __future__ import annotations

import io

from service.cli.bar import Bar


def test_a_line_comes_with_each_tenth_and_every_five_seconds() -> None:
    """A log of a hundred thousand is not a hundred thousand lines, and a slow one goes on telling."""
    now = [0.0]
    stream = io.StringIO()
    bar = Bar(stream, lambda: now[0])
    for done in range(1001):
        bar.show(done, 1000, "x/s")
    assert len(stream.getvalue().splitlines()) == 11
    stream.truncate(0)
    stream.seek(0)
    slow = Bar(stream, lambda: now[0])
    for second in range(20):
        now[0] = float(second)
        slow.show(0, 1000)
    assert len(stream.getvalue().splitlines()) == 4
    slow.end()


def test_nothing_to_do_is_done() -> None:
    """A takeoff whose splice points are all faulty has nothing to plan."""
    stream = io.StringIO()
    Bar(stream).show(0, 0)
    assert stream.getvalue() == "0 of 0\n"
