"""A hung closure for a page: its document with the room that is left, and what of its cables is not joined yet."""

from __future__ import annotations

from collections.abc import Iterable
from typing import Any

from service.api.state import state
from service.documents.free_room import free_room_to
from service.documents.installation import installation_to
from service.documents.ranges import format_ranges
from service.domain.catalogue import Cable, Catalogue
from service.domain.installation import Contents, HungCable, Installation
from service.planning.hanging.ends import as_ranges, spliced_fibres
from service.planning.hanging.free_room import free_room
from service.store import as_hung

_LONGEST = 80
"""Letters of the numbers that are not joined yet; of a cable that is joined here and there they would fill a page."""


def catalogue_of(installation: Installation) -> Catalogue:
    """The catalogue with the entries of what hangs there, retired or not."""
    return as_hung(state().store.snapshot(), installation.contents)


def shown(installation: Installation) -> dict[str, Any]:
    """The installation as the API has it, with the room that is left, and ``free`` of each cable in words."""
    contents, catalogue = installation.contents, catalogue_of(installation)
    document = installation_to(installation, free_room_to(free_room(contents, catalogue)))
    for told, cable in zip(document["cables"], contents.cables, strict=True):
        model = catalogue.cables.get(cable.cable)
        told["free"] = free_in_words(contents, cable, model) if model else ""
    return document


def joinable_first(installation: Installation) -> tuple[HungCable, ...]:
    """The cables that hang, those first of which something is not joined yet."""
    contents, models = installation.contents, catalogue_of(installation).cables

    def full(cable: HungCable) -> bool:
        return cable.cable not in models or not free_in_words(contents, cable, models[cable.cable])

    return tuple(sorted(contents.cables, key=full))


def free_in_words(contents: Contents, hung: HungCable, cable: Cable) -> str:
    """What of a cable is in no splice here: whole ribbons, and fibres of ribbons that are joined in part.

    Empty where all of it is joined. Of a cable that passes through: what is joined on neither side.
    """
    if hung.abandoned:
        return ""
    joined = {fibre for side in ("in", "out") for fibre in _joined(contents, hung, side, cable)}
    free = set(range(1, cable.fibres + 1)) - joined
    if cable.ribbon_fibres == 1 or (cable.ribbon_form == "loose" and not cable.ribbonise):
        return _named("fibre", free)
    begun = {_ribbon(fibre, cable) for fibre in joined}
    whole = {_ribbon(fibre, cable) for fibre in free} - begun
    rest = {fibre for fibre in free if _ribbon(fibre, cable) in begun}
    return ", ".join(text for text in (_named("ribbon", whole), _named("fibre", rest)) if text)


def _ribbon(fibre: int, cable: Cable) -> int:
    return (fibre - 1) // cable.ribbon_fibres + 1


def _joined(contents: Contents, hung: HungCable, side: str, cable: Cable) -> set[int]:
    return spliced_fibres(contents.splices, hung.tag, "in" if side == "in" else "out", cable)


def _named(unit: str, numbers: Iterable[int]) -> str:
    ranges = as_ranges(numbers)
    if not ranges:
        return ""
    text = format_ranges(ranges).replace(",", ", ")
    if len(text) > _LONGEST:
        text = text[: text.rindex(",", 0, _LONGEST)] + " and others"
    return f"{unit}{'' if ranges[0][0] == ranges[-1][1] else 's'} {text}"
