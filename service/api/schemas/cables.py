"""The body of a cable."""

from __future__ import annotations

from service.api.fields import Flag, Integer, Number
from service.api.schemas import words


class CableSchema(words.Entry):
    """A fibre cable."""

    od_mm = words.positive_length(required=True)
    fibres = Integer(least=1, most=20_000, required=True)
    ribbon_fibres = Integer(least=1, most=100, required=True)
    ribbons_per_tube = Integer(least=1, most=1000, required=True)
    ribbon_form = words.ribbon_form(required=True)
    pitch_um = Integer(least=50, most=1000, required=True)
    fibre = words.line(40, required=True)
    armoured = Flag()
    ribbonise = Flag()
    tube_od_mm = words.positive_length()
    bend_factor = Number(least=0.001, most=1000)
    method = words.code()
