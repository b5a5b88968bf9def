"""Takeoffs in the database. That a chunk of one is done is a fact here and nowhere else.

::

    store.takeoffs.begin(new)
    store.takeoffs.add_batch(new.id, points, demands)
    store.takeoffs.start(new.id)
    chunk = store.takeoffs.work.lease("worker-1")
    store.takeoffs.work.bring_planned(chunk, [plan(each) for each in store.takeoffs.work.demands(chunk)])
"""

from service.store.takeoffs.facade import TakeoffStore
from service.store.takeoffs.leasing import LEASE_S
from service.store.takeoffs.queue import Queue
from service.store.takeoffs.results import PointFilter
from service.store.takeoffs.standing import TakeoffFilter
from service.store.takeoffs.work import TakeoffWork

__all__ = ["LEASE_S", "PointFilter", "Queue", "TakeoffFilter", "TakeoffStore", "TakeoffWork"]
