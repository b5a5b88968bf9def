"""All pages on their blueprint: importing a module of pages adds its addresses."""

from service.pages import (
    admission,
    catalogue,
    failures,
    fit,
    orders,
    origin,
    plans,
    serving_assets,
    signing_in,
    start,
    stock,
    takeoffs,
)
from service.pages.blueprint import routes
from service.pages.failures import tell_people

MODULES = (
    *(admission, catalogue, failures, fit, orders, origin, plans),
    *(serving_assets, signing_in, start, stock, takeoffs),
)

__all__ = ["MODULES", "routes", "tell_people"]
