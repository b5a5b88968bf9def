"""The last resort: fillings of trays chosen by linear programming, every bound shown again in whole numbers."""

from service.planning.packing.patterns.asking import settled_by_fillings
from service.planning.packing.patterns.fewest import fewest_by_fillings
from service.planning.packing.patterns.resort import Settled

__all__ = ["Settled", "fewest_by_fillings", "settled_by_fillings"]
