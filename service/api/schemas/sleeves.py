"""The body of a sleeve."""

from __future__ import annotations

from service.api.fields import Choice, Integer
from service.api.schemas import words


class SleeveSchema(words.PricedEntry):
    """A splice protector."""

    form = Choice("ribbon", "single", required=True)
    fibres = Integer(least=1, most=100, required=True)
    length_mm = words.positive_length(required=True)
    slot_kind = words.code(required=True)
    pack_of = Integer(least=1, most=1_000_000, required=True)
    width_mm = words.positive_length()
    height_mm = words.positive_length()
