"""Entity tags and the preconditions of changes (RFC 9110, section 13). A tag is the revision in quotes."""

from __future__ import annotations

import re

from flask import request

from service.api.problems import Problem, bad_parameters
from service.store import Absent, AnyRevision, Expectation, Revision

_TAG = re.compile(r'(W/)?"([\x21\x23-\x7e\x80-\xff]*)"')
_LIST = re.compile(rf"\s*(?:{_TAG.pattern}\s*(?:,\s*|\Z))+\Z")
_REVISION = re.compile(r"(0|[1-9][0-9]{0,15})\Z")
_COMPOUND = re.compile(r"(0|[1-9][0-9]{0,15})(?:\.[0-9]{1,16})?\Z")


def tag(revision: int | str) -> str:
    """The entity tag of a revision."""
    return f'"{revision}"'


def has_already(current: str) -> bool:
    """Whether If-None-Match says that the caller has this tag; compared weakly, as is right for reading."""
    header = request.headers.get("If-None-Match")
    if header is None:
        return False
    return header.strip() == "*" or any(f'"{value}"' == current for _, value in _tags("If-None-Match", header))


def expected(creating: bool = False) -> Expectation:
    """What the caller expects to change, from If-Match, or where ``creating`` is possible from If-None-Match.

    Weak tags never match. Raises the 428 problem without a precondition, and the 412 one where no tag can match.
    """
    match, none_match = request.headers.get("If-Match"), request.headers.get("If-None-Match")
    if creating and none_match is not None:
        if match is not None:
            raise bad_parameters([("If-None-Match", "contradiction", "Send If-Match or If-None-Match, not both.")])
        return Absent()
    if match is None:
        hint = " To create, send If-None-Match: *." if creating else ""
        raise Problem("precondition-required", f"Send If-Match with the ETag of what you change.{hint}")
    return _matching(match, _REVISION)


def expected_of_compound() -> Expectation:
    """As ``expected``, for what has tags of two numbers, ``"3.17"``, the first of which is its own revision."""
    match = request.headers.get("If-Match")
    return expected() if match is None else _matching(match, _COMPOUND)


def _matching(match: str, form: re.Pattern[str]) -> Expectation:
    if match.strip() == "*":
        return AnyRevision()
    tags = _tags("If-Match", match)
    found = [form.match(value) for weak, value in tags if not weak]
    numbers = [int(each[1]) for each in found if each]
    if not numbers:
        raise Problem("stale", "No tag here can match: a tag is the revision in quotes, and weak ones never match.")
    return Revision(numbers[0], tuple(numbers[1:]))


def _tags(name: str, header: str) -> list[tuple[str, str]]:
    if not _LIST.match(header):
        raise bad_parameters([(name, "syntax", 'This is no list of entity tags, such as "3" or "3", "4".')])
    return _TAG.findall(header)
