"""Reading JSON without the liberties that readers take: what two readers could understand differently is refused.

Refused are bytes that are no UTF-8, a byte-order mark, NaN and Infinity, numbers that overflow, whole numbers that
other readers would round, names that stand twice in one object, lone surrogates, and nesting beyond a limit. Numbers
of equal value are read as one (``12``, ``12.0`` and ``1.2e1`` are the integer 12), so that they are written alike.
"""

from __future__ import annotations

import json
import math
from typing import Any, Literal, NoReturn

LARGEST_WHOLE = 2**53 - 1
"""The largest whole number that every reader of JSON keeps exactly (RFC 8259, section 6)."""


class MalformedJson(ValueError):
    """A body that is no JSON in the strict sense; ``code`` for machines, the message for people."""

    def __init__(self, code: str, detail: str) -> None:
        self.code = code
        super().__init__(detail)


def read_json(body: bytes, depth: int = 64, what: Literal["body", "line"] = "body") -> Any:
    """Read a JSON text of at most ``depth`` levels, a whole body or one line of it. Raises ``MalformedJson``."""
    text = _decoded(body, what)
    try:
        value = _decoder.decode(text)
    except RecursionError:
        raise _too_deep(depth, what) from None
    except json.JSONDecodeError as error:
        # Which line of a takeoff it is stands beside the fault.
        place = f"line {error.lineno}, column {error.colno}" if what == "body" else f"column {error.colno}"
        raise MalformedJson("syntax", f"This is no JSON; reading ended at {place}.") from None
    if _levels(value, depth) > depth:
        raise _too_deep(depth, what)
    if "\\u" in text:
        _refuse_surrogates(value)
    return value


def _decoded(body: bytes, what: str) -> str:
    if not body.strip():
        raise MalformedJson("empty", f"The {what} is empty.")
    if body.startswith(b"\xef\xbb\xbf"):
        raise MalformedJson("byte_order_mark", f"The {what} starts with a byte-order mark; leave it out.")
    try:
        return body.decode("utf-8")
    except UnicodeDecodeError:
        raise MalformedJson("encoding", f"The {what} is not valid UTF-8.") from None


def _too_deep(depth: int, what: str) -> MalformedJson:
    return MalformedJson("depth", f"The {what} is nested more than {depth} levels deep.")


def _object(pairs: list[tuple[str, Any]]) -> dict[str, Any]:
    members = dict(pairs)
    if len(members) != len(pairs):
        seen: set[str] = set()
        twice = next(name for name, _ in pairs if name in seen or seen.add(name))  # type: ignore[func-returns-value]
        shown = twice if len(twice) <= 60 else twice[:60] + "…"
        shown = shown.encode("utf-8", "replace").decode()
        quoted = json.dumps(shown, ensure_ascii=False)
        raise MalformedJson("duplicate_name", f"The name {quoted} stands twice in one object.")
    return members


def _whole(digits: str) -> int:
    if len(digits) > 17 or abs(int(digits)) > LARGEST_WHOLE:
        detail = f"A whole number is beyond {LARGEST_WHOLE}; not every reader would keep it exactly."
        raise MalformedJson("number", detail)
    return int(digits)


def _fraction(digits: str) -> float:
    number = float(digits)
    if not math.isfinite(number):
        raise MalformedJson("number", "A number is too large for the double precision of JSON readers.")
    return int(number) if number.is_integer() and abs(number) <= LARGEST_WHOLE else number


def _constant(name: str) -> NoReturn:
    raise MalformedJson("number", f"{name} is no JSON number.")


_decoder = json.JSONDecoder(
    object_pairs_hook=_object, parse_int=_whole, parse_float=_fraction, parse_constant=_constant
)


def _levels(value: Any, limit: int) -> int:
    """How many levels of arrays and objects there are, counted no further than just beyond the limit."""
    level = [value] if isinstance(value, dict | list) else []
    levels = 0
    while level and levels <= limit:
        levels += 1
        level = [
            inner
            for outer in level
            for inner in (outer.values() if type(outer) is dict else outer)
            if type(inner) is dict or type(inner) is list
        ]
    return levels


def _refuse_surrogates(value: Any) -> None:
    try:
        json.dumps(value, ensure_ascii=False).encode("utf-8")
    except UnicodeEncodeError:
        raise MalformedJson("surrogate", "A text has half of a surrogate pair in it.") from None
