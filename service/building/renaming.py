"""Giving the answer to a canonical request the names of one splice point back, byte for byte as if planned alone."""

from __future__ import annotations

import re
from collections.abc import Callable, Iterable, Mapping

import orjson

from service.building.placeholders import pattern
from service.domain.faults import Fault
from service.domain.takeoff import PointResult

_NAMELESS = b'{"name":"",'


def renamed_answer(answer: bytes, name: str, names: Mapping[str, str]) -> bytes:
    """A plan's answer, as planned from a canonical request, with the splice point's own name and names in it.

    ``names`` are the names by placeholder. Raises ``ValueError`` for an answer that does not begin with an empty name.
    """
    if not answer.startswith(_NAMELESS):
        raise ValueError("the answer is not one to a canonical request")
    rest = answer[len(_NAMELESS) :].decode()
    found = pattern(names)
    if found is not None:
        rest = found.sub(_own(names, _in_json), rest)
    return b'{"name":%s,%s' % (orjson.dumps(name), rest.encode())


def renamed_faults(faults: Iterable[Fault], names: Mapping[str, str]) -> tuple[Fault, ...]:
    """The faults of a canonical request in the splice point's own names; pointers have no names in them."""
    found = pattern(names)
    if found is None:
        return tuple(faults)
    own = _own(names, str)
    return tuple(Fault(fault.pointer, fault.code, found.sub(own, fault.detail)) for fault in faults)


def own_faults(result: PointResult) -> tuple[Fault, ...]:
    """The faults of a splice point of a takeoff in its own names."""
    point = result.point
    return result.faults if point.demand is None else renamed_faults(result.faults, point.names)


def own_answer(result: PointResult) -> bytes | None:
    """The plan answer of a splice point of a takeoff in its own names; None where it has none."""
    point = result.point
    return None if result.answer is None else renamed_answer(result.answer, point.name, point.names)


def _own(names: Mapping[str, str], written: Callable[[str], str]) -> Callable[[re.Match[str]], str]:
    """What replaces a placeholder: the name; where it stood in the apostrophes of ``repr``, the name's own ``repr``."""
    told: dict[str, str] = {}
    for place, name in names.items():
        told[place] = written(name)
        told[repr(place)] = written(repr(name))

    def replaced(match: re.Match[str]) -> str:
        return told.get(match[0], match[0])

    return replaced


def _in_json(text: str) -> str:
    return orjson.dumps(text).decode()[1:-1]
