"""The log: one object a line, with the id of the request that a line belongs to."""

from __future__ import annotations

import json
import logging
import sys
from collections.abc import Iterator

import pytest

from service.logs import JsonLines, TextLines, facts, log_to_stderr, request_id
from service.settings import Settings


@pytest.fixture
def within() -> Iterator[None]:
    """The lines of this test belong to a request."""
    token = request_id.set("ferrow-7")
    yield
    request_id.reset(token)


def _record(message: str, *arguments: object, error: bool = False) -> logging.LogRecord:
    trace = None
    if error:
        try:
            raise ValueError("two\nlines")
        except ValueError:
            trace = sys.exc_info()
    return logging.LogRecord("service.x", logging.WARNING, "x.py", 1, message, arguments, trace)


@pytest.mark.usefixtures("within")
def test_a_line_is_one_object_whatever_is_in_it() -> None:
    """Line breaks, traces and foreign letters stay within the line, and it says which request it is of."""
    record = _record('half "a\nline\u2028 %s', "b", error=True)
    record.__dict__.update(facts(status=200, seconds=0.5))
    line = JsonLines().format(record)
    told = json.loads(line)
    assert line.isascii() and line.isprintable()
    assert told["message"] == 'half "a\nline\u2028 b'
    assert (told["request_id"], told["status"], told["seconds"], told["level"]) == ("ferrow-7", 200, 0.5, "warning")
    assert told["time"].endswith("Z")
    assert "ValueError: two" in told["error"]


def test_outside_of_requests_there_is_no_id() -> None:
    """A line of a worker bears none."""
    assert "request_id" not in json.loads(JsonLines().format(_record("x")))


@pytest.mark.usefixtures("within")
def test_text_tells_the_same() -> None:
    """What is told by name stands behind the message."""
    record = _record("answered")
    record.__dict__.update(facts(status=200))
    assert TextLines().format(record).endswith("WARNING service.x: answered status=200 request_id=ferrow-7")


def test_a_process_has_one_log(capsys: pytest.CaptureFixture[str]) -> None:
    """Set up twice, a line still comes once, and where the settings say so as text."""
    root = logging.getLogger()
    before, level = list(root.handlers), root.level
    try:
        log_to_stderr(Settings(log_json=False))
        log_to_stderr(Settings(log_json=False))
        logging.getLogger("service.here").info("once")
        assert capsys.readouterr().err.count("INFO service.here: once") == 1
    finally:
        root.handlers[:] = before
        root.setLevel(level)
