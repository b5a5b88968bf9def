"""One database with a store for each of its teams, all on the same connections."""

from __future__ import annotations

import threading
from collections.abc import Callable
from dataclasses import dataclass, field
from datetime import datetime
from typing import TYPE_CHECKING

from service.store.engines import Engines
from service.store.takeoffs.cutting import Delivery

if TYPE_CHECKING:
    from service.store.store import Store


@dataclass(frozen=True, slots=True, eq=False)
class Database:
    """What the stores of all teams of a database share; ``stores`` are by the teams' numbers, guarded by ``lock``."""

    engines: Engines
    clock: Callable[[], datetime]
    delivery: Delivery = field(default_factory=Delivery)
    stores: dict[int, Store] = field(default_factory=dict)
    lock: threading.Lock = field(default_factory=threading.Lock)
