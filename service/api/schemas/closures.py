"""The body of a closure."""

from __future__ import annotations

from service.api.fields import Choice, Integer, Items, Number
from service.api.schemas import words


class TrayAllowanceSchema(words.Body):
    """A tray that the closure takes."""

    tray = words.code(required=True)
    most = Integer(least=1, most=1000, required=True)


class PortSchema(words.Body):
    """Equal cable entries."""

    name = words.code(required=True)
    count = Integer(least=1, most=100, required=True)
    od_min_mm = words.length(required=True)
    od_max_mm = words.positive_length(required=True)
    cables = Integer(least=1, most=100, required=True)


class IncludedSchema(words.Body):
    """An item in the closure's box."""

    material = words.code(required=True)
    quantity = words.quantity(required=True)


class ClosureSchema(words.PricedEntry):
    """A splice closure."""

    form = Choice("dome", "inline", required=True)
    stack_mm = words.positive_length(required=True)
    trays = Items(words.inner(TrayAllowanceSchema), fewest=1, most=50, required=True)
    ports = Items(words.inner(PortSchema), fewest=1, most=50, required=True)
    lead_mm = words.length(required=True)
    opening_step_mm = words.positive_length()
    express_mm2 = words.area()
    express_turn_mm = words.positive_length()
    length_mm = words.positive_length()
    diameter_mm = words.positive_length()
    mass_kg = Number(least=0.001, most=10_000)
    rated_ribbon_fibres = Integer(least=1, most=1_000_000)
    rated_single_fibres = Integer(least=1, most=1_000_000)
    includes = Items(words.inner(IncludedSchema), most=200)
