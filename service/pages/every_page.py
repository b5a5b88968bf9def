"""All pages on their blueprint: importing a module of pages adds its addresses."""

from service.pages import (
    admission,
    catalogue,
    failures,
    fit,
    orders,
    origin,
    plans,
    remakes,
    serving_assets,
    signing_in,
    start,
    stock,
    takeoffs,
)
from service.pages.blueprint import routes
from service.pages.docs import guide, reference
from service.pages.failures import tell_people
from service.pages.installations import (
    carrying_out,
    fitting,
    giving_up,
    hanging,
    listing,
    placing,
    reading,
    records,
    removing,
)

MODULES = (
    admission,
    catalogue,
    failures,
    fit,
    guide,
    orders,
    origin,
    plans,
    reference,
    remakes,
    serving_assets,
    signing_in,
    start,
    stock,
    takeoffs,
)
INSTALLATIONS = (carrying_out, fitting, giving_up, hanging, listing, placing, reading, records, removing)

__all__ = ["INSTALLATIONS", "MODULES", "routes", "tell_people"]
