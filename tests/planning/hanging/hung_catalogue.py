"""The small catalogue with channels and entries in its trays, and a closure to hang; all figures invented."""

from __future__ import annotations

from dataclasses import replace

from service.domain.catalogue import Catalogue, Closure, Port, TrayAllowance
from tests.small_catalogue import small_catalogue

HUNG = Closure(
    "hung",
    "closure with ports for two cables",
    "dome",
    110.0,
    (TrayAllowance("r12", 4), TrayAllowance("r6", 3), TrayAllowance("s24", 2)),
    (Port("oval", 2, 10.0, 25.0, 2), Port("round", 2, 5.0, 20.0, 1)),
    700.0,
    opening_step_mm=50.0,
)


def hung_catalogue() -> Catalogue:
    """Channels and entries that bind now and then."""
    catalogue = small_catalogue()
    trays = {code: replace(tray, storage_mm2=180.0, entry_ribbons_max=34) for code, tray in catalogue.trays.items()}
    return replace(catalogue, trays=trays, closures={**catalogue.closures, "hung": HUNG})
