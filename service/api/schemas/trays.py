"""The body of a tray."""

from __future__ import annotations

from service.api.fields import Entries, Integer, Items
from service.api.schemas import words


class BankSchema(words.Body):
    """Equal holders of a tray."""

    count = Integer(least=1, most=100, required=True)
    slots = Entries(words.code(), Integer(least=1, most=1000), fewest=1, most=50, required=True)


class TraySchema(words.PricedEntry):
    """A splice tray."""

    pitch_mm = words.positive_length(required=True)
    banks = Items(words.inner(BankSchema), fewest=1, most=50, required=True)
    turn_mm = words.positive_length(required=True)
    bend_radius_mm = words.positive_length(required=True)
    sleeve_length_max_mm = words.positive_length()
    storage_mm2 = words.area()
    entry_mm = words.length()
    entry_ribbons_max = Integer(least=1, most=10_000)
    flat_turns_max = Integer(least=0, most=1000)
