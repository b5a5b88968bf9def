"""The bodies of what is done with a hung closure: hanging it, saying where, adding, removing, giving up a cable."""

from __future__ import annotations

from service.api.fields import Day, Flag, Integer, Items, Number
from service.api.schemas import words
from service.api.schemas.plan_requests import CrewSchema, JointSchema, RulesSchema, SiteSchema


class _VisitSchema(words.Body):
    """What is said of a visit, in the body of what it did."""

    on = Day()
    by = words.line(shortest=0)
    note = words.line(longest=2000, shortest=0)


class HangingRequestSchema(words.Body):
    """A closure that was hung from a plan."""

    plan = words.record_id(required=True)
    name = words.line(shortest=0)
    place = words.line(shortest=0)
    latitude = Number(least=-90, most=90)
    longitude = Number(least=-180, most=180)
    hung = Day()
    by = words.line(shortest=0)
    note = words.line(longest=2000, shortest=0)
    again = Flag()


class InstallationPlaceSchema(words.Body):
    """Where a closure hangs."""

    name = words.line(shortest=0, required=True)
    place = words.line(shortest=0)
    latitude = Number(least=-90, most=90)
    longitude = Number(least=-180, most=180)


class AddedCableSchema(words.Body):
    """A cable that is brought in."""

    tag = words.line(40, required=True)
    cable = words.code(required=True)
    slack_m = Number(least=0, most=10_000)
    express = Flag()


class AdditionRequestSchema(_VisitSchema):
    """More cables and joints for a hung closure."""

    name = words.line(shortest=0)
    cables = Items(words.inner(AddedCableSchema), most=200)
    joints = Items(words.inner(JointSchema), fewest=1, most=2000, required=True)
    rules = words.inner(RulesSchema)
    crew = words.inner(CrewSchema)
    site = words.inner(SiteSchema)
    headroom = Flag()


class VisitRequestSchema(_VisitSchema):
    """A stored plan that was carried out."""

    plan = words.record_id(required=True)


class RemovalRequestSchema(_VisitSchema):
    """Splices that were taken out."""

    splices = Items(Integer(least=1, most=2**53 - 1), fewest=1, most=10_000, unique=True, required=True)


class AbandonmentRequestSchema(_VisitSchema):
    """A cable that was given up."""

    cable = words.line(40, required=True)
