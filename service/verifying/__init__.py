"""A sceptic's check of a plan, from its JSON alone.

Nothing here knows the planner: the plan is a plain document, its certificate says what it was planned from, and every
rule and bound is worked out again by arithmetic of this room's own, on the standard library.
"""

from service.verifying.report import Breach, Report
from service.verifying.verify import verify

__all__ = ["Breach", "Report", "verify"]
