"""A plan with its request as the store keeps them."""

from __future__ import annotations

from collections.abc import Iterable
from datetime import datetime
from uuid import uuid4

from service import __version__
from service.cli.answers import Answered, answer_bytes
from service.domain.plan import Plan
from service.store import NewPlan


def to_store(done: Answered, catalogue_revision: int, created: datetime) -> NewPlan:
    """The plan as the store keeps it, under a new id."""
    plan = done.plan
    return NewPlan(
        id=uuid4().hex,
        created=created,
        name=plan.name,
        closure=plan.closure,
        fits=plan.fits,
        splices=plan.splices,
        trays=len(plan.trays) if plan.fits else None,
        optimal=plan.proof.optimal if plan.proof else None,
        catalogue_revision=catalogue_revision,
        version=__version__,
        request=done.document,
        answer=answer_bytes(plan),
    )


def entries_used(plan: Plan) -> Iterable[str]:
    """The catalogue entries that the plan was made from, as ``"<section>/<code>"``."""
    return (plan.revisions or {}).keys()
