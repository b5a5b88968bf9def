"""Path, query and header parameters, checked straight from the published description."""

from __future__ import annotations

import math
import re
from collections.abc import Mapping
from datetime import UTC, datetime
from typing import Any

from werkzeug.datastructures import Headers, MultiDict

from service.api.problems import bad_parameters
from service.api.spec import Operation, Parameter

_WHOLE = re.compile(r"-?[0-9]{1,18}\Z")
_NUMBER = re.compile(r"-?[0-9]{1,15}(?:\.[0-9]{1,20})?(?:[eE][+-]?[0-9]{1,3})?\Z")
"""A number as JSON writes it, and as clients write what is very small: ``0.25``, ``2.5e-05``."""
Fault = tuple[str, str, str]


class _Unreadable(ValueError):
    """A value that is not of its parameter's type; the message says what is expected."""


def checked(
    operation: Operation, path: Mapping[str, Any], query: MultiDict[str, str], headers: Headers
) -> dict[str, Any]:
    """The path and query parameters by name, converted, with the described defaults.

    Headers are checked and not returned. Raises a ``Problem`` with every parameter that is unknown, missing, given
    twice, or out of its range.
    """
    faults: list[Fault] = [
        (name, "unknown_parameter", "There is no query parameter of this name here.")
        for name in query
        if name not in operation.query_names
    ]
    values: dict[str, Any] = {}
    for each in operation.parameters:
        texts = _given(each, path, query, headers)
        if not texts:
            values[each.name] = each.default
            if each.required:
                faults.append((each.name, "required", "This parameter is required."))
        elif len(texts) > 1:
            faults.append((each.name, "given_twice", "This parameter is given more than once."))
        else:
            _take(each, texts[0], values, faults)
    if faults:
        raise bad_parameters(faults)
    return values


def _given(each: Parameter, path: Mapping[str, Any], query: MultiDict[str, str], headers: Headers) -> list[str]:
    if each.where == "query":
        return query.getlist(each.name)
    value = path.get(each.name) if each.where == "path" else headers.get(each.name)
    return [] if value is None else [value]


def _take(each: Parameter, text: str, values: dict[str, Any], faults: list[Fault]) -> None:
    try:
        value = _converted(each.kind, text)
    except _Unreadable as error:
        faults.append((each.name, "type", str(error)))
        return
    if not each.validator.is_valid(value):
        faults.append((each.name, "value", "The value is not one that the published description allows."))
        return
    if each.schema.get("format") == "date-time":
        moment = _moment(text)
        if moment is None:
            faults.append((each.name, "range", "This time cannot be told in UTC."))
        value = moment
    values[each.name] = value


def _converted(kind: str, text: str) -> Any:
    if kind == "boolean":
        if text not in ("true", "false"):
            raise _Unreadable("This is either true or false.")
        return text == "true"
    if kind == "integer":
        if not _WHOLE.match(text):
            raise _Unreadable("This is a whole number.")
        return int(text)
    if kind == "number":
        value = float(text) if _NUMBER.match(text) else math.inf
        if not math.isfinite(value):
            raise _Unreadable("This is a number.")
        return value
    return text


def _moment(text: str) -> datetime | None:
    """A time of RFC 3339 in UTC; None for what the calendar of ``datetime`` cannot say, such as a leap second."""
    try:
        return datetime.fromisoformat(text.upper()).astimezone(UTC)
    except (ValueError, OverflowError):
        return None
