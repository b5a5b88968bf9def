"""The body of a material rule."""

from __future__ import annotations

from service.api.fields import Choice, Flag, Integer
from service.api.schemas import words


class WhenSchema(words.Body):
    """Where a material rule applies."""

    od_min_mm = words.length()
    od_max_mm = words.length()
    slot_kind = words.code()
    ribbon_form = words.ribbon_form()
    re_entry = Flag()


class MaterialSchema(words.PricedEntry):
    """So many of an item for each thing counted."""

    per = Choice(
        "closure",
        "port",
        "blank_port",
        "cable",
        "armoured_cable",
        "tray",
        "splice",
        "ribbon_end",
        "ribbonised_end",
        "express_tube",
        "transport_tube",
        required=True,
    )
    quantity = words.quantity(required=True)
    unit = words.line(40, required=True)
    when = words.inner(WhenSchema)
    pack_of = Integer(least=1, most=1_000_000)
