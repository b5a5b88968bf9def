"""The body of splice records: remakes and losses of splices that lie in a closure, and limits to judge them by."""

from __future__ import annotations

from service.api.fields import Choice, Day, Integer, Items, Number
from service.api.schemas import words


class LossSchema(words.Body):
    """One figure of a splice's loss."""

    fibre = Integer(least=1, most=24)
    loss_db = Number(least=-20, most=60, required=True)
    kind = Choice("measured", "estimated")
    wavelength_nm = Integer(least=800, most=1700)
    direction = Choice("a_to_b", "b_to_a")


class SpliceRecordSchema(words.Body):
    """What was written down of one splice."""

    splice = Integer(least=1, most=2**53 - 1, required=True)
    remakes = Integer(least=0, most=999, required=True)
    remakes_after_shrinking = Integer(least=0, most=999)
    losses = Items(words.inner(LossSchema), most=200)
    on = Day()
    by = words.line(shortest=0)
    note = words.line(longest=2000, shortest=0)


class LimitAtSchema(words.Body):
    """A limit at one wavelength."""

    wavelength_nm = Integer(least=800, most=1700, required=True)
    splice_db = Number(least=0, most=60, required=True)


class LossLimitsSchema(words.Body):
    """The most that splices may lose."""

    preset = words.line(40)
    splice_db = Number(least=0, most=60)
    one_way_db = Number(least=0, most=60)
    ribbon_mean_db = Number(least=0, most=60)
    at_nm = Items(words.inner(LimitAtSchema), most=20)


class SpliceRecordsRequestSchema(words.Body):
    """Records of splices, sent together."""

    records = Items(words.inner(SpliceRecordSchema), fewest=1, most=10_000, required=True)
    limits = words.inner(LossLimitsSchema)
    on = Day()
    by = words.line(shortest=0)
