"""The work on demands as workers are sent it: plan, judge, choose, add up."""

from __future__ import annotations

from functools import partial

from service.building.adding_up import totals_of
from service.building.choosing import choose_closures
from service.building.demands import judge_demand, plan_demand
from service.building.work import DemandWork
from service.planning.joints import SPLICES_MOST


def demand_work(splices_most: int = SPLICES_MOST) -> DemandWork:
    """The work; ``splices_most`` bounds the splices of one splice point."""
    return DemandWork(
        plan=partial(plan_demand, splices_most=splices_most),
        judge=partial(judge_demand, splices_most=splices_most),
        choose=choose_closures,
        add_up=totals_of,
    )
