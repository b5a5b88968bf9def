"""The body of a plan request, which is that of a fit check too."""

from __future__ import annotations

from typing import Any

from marshmallow import validates_schema

from service.api.fields import Choice, Entries, Flag, Integer, Items, Number, fault
from service.api.schemas import words


class HangingCableSchema(words.Body):
    """How a cable hangs already."""

    ports = Items(words.line(80), fewest=1, most=2, unique=True, required=True)
    cut = words.ranges(20_000)
    spliced = words.ranges(20_000)
    spliced_out = words.ranges(20_000)
    window_mm = words.length()


class CableAtPointSchema(words.Body):
    """A cable at the splice point."""

    tag = words.line(40, required=True)
    cable = words.code(required=True)
    slack_m = Number(least=0, most=10_000)
    express = Flag()
    hanging = words.inner(HangingCableSchema)


class SideSchema(words.Body):
    """One side of a joint."""

    cable = words.line(40, required=True)
    ribbons = words.ranges()
    fibres = words.ranges()
    end = Choice("in", "out")

    @validates_schema(pass_original=True, skip_on_field_errors=False)
    def one_of_both(self, data: Any, original: Any, **kwargs: Any) -> None:
        """Exactly one of ribbons and fibres is named."""
        if isinstance(original, dict) and ("ribbons" in original) == ("fibres" in original):
            raise fault("one_of", "Name either ribbons or fibres of this cable.")


class JointSchema(words.Body):
    """These ribbons (or fibres) to those."""

    from_ = words.inner(SideSchema, required=True, data_key="from")
    to = words.inner(SideSchema, required=True)
    keep_apart = words.line(allow_none=True)
    split_ribbons = Flag()


class ReserveSchema(words.Body):
    """Room for growth."""

    percent = Number(least=0, most=500)
    in_ = Choice("trays", "stack", data_key="in")


class RulesSchema(words.Body):
    """The rules of a plan."""

    minimise = Choice("trays", "price")
    keep = Choice("tube", "joint", "none")
    split = Choice("never", "oversize", "free")
    reserve = words.inner(ReserveSchema)
    reach_mm = words.length()
    remakes = Integer(least=0, most=100)
    confidence = Number(least=0.5, most=0.9999)
    rework = words.ProbabilityOrRecorded(least=0, most=0.9, allow_none=True)
    rework_sleeve = words.probability(allow_none=True)
    rework_fibre = Number(least=0, most=0.09, allow_none=True)
    overlap_mm = Number(least=0, most=1000)
    storage_fill = Number(least=0.001, most=1)
    storage_radius_mm = Entries(words.line(40), words.positive_length(), most=50)
    bend_allowance_db = Number(least=0, most=100, allow_none=True)
    stored_ends = Choice("storage", "slots")
    rated_for_all = Flag()
    spare_entries = Integer(least=0, most=100)
    spare_trays = Integer(least=0, most=1000)


class CrewSchema(words.Body):
    """Who and what works there."""

    technicians = Integer(least=1, most=100)
    splicers = Integer(least=1, most=100)
    heaters = Integer(least=1, most=100)
    window_h = Number(least=0.001, most=1000)
    setup_min = Number(least=0, most=10_000)
    cable_prep_min = Number(least=0, most=10_000)
    closing_min = Number(least=0, most=10_000)
    spread = Number(least=0, most=1)
    seed = Integer(least=0, most=4_294_967_295)


class SiteSchema(words.Body):
    """The place, by its inner sizes."""

    kind = Choice("handhole", "vault", "pole", "pedestal", required=True)
    length_mm = words.positive_length(required=True)
    width_mm = words.positive_length(required=True)
    depth_mm = words.positive_length(required=True)


class ExistingBankSchema(words.Body):
    """A bank in use."""

    bank = Integer(least=1, most=100_000, required=True)
    slot_kind = words.code(required=True)
    used = Integer(least=0, most=1000, required=True)
    taken = words.ranges(20_000)


class ExistingTraySchema(words.Body):
    """A tray that hangs already."""

    tray = words.code(required=True)
    banks = Items(words.inner(ExistingBankSchema), most=1000)
    keep_apart = words.line(allow_none=True)
    storage_used_mm2 = Number(least=0, most=1_000_000)
    ribbons = Integer(least=0, most=100_000)


class PlanRequestSchema(words.Body):
    """What is to be joined in one closure."""

    name = words.line(shortest=0)
    closures = Items(words.code(), most=200, unique=True)
    cables = Items(words.inner(CableAtPointSchema), fewest=1, most=200, required=True)
    joints = Items(words.inner(JointSchema), fewest=1, most=2000, required=True)
    rules = words.inner(RulesSchema)
    crew = words.inner(CrewSchema)
    site = words.inner(SiteSchema)
    existing_trays = Items(words.inner(ExistingTraySchema), most=200)
    headroom = Flag()
