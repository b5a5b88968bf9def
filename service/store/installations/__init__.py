"""Closures that hang somewhere, and the visits to them.

::

    store.installations.hang(installation, visit)
    store.installations.change(Change(before, after, visit))
    store.installations.lying(plan_id)
"""

from service.store.installations.errors import Changed, HungAlready
from service.store.installations.facade import AdditionPlan, Change, InstallationStore
from service.store.installations.listing import InstallationFilter, Near

__all__ = ["AdditionPlan", "Change", "Changed", "HungAlready", "InstallationFilter", "InstallationStore", "Near"]
