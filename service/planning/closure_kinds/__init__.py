"""Few kinds of closure for a whole build: the models that serve it best when only so many may be used, with proof."""

from service.planning.closure_kinds.choosing import ROWS, choose_closure_kinds
from service.planning.closure_kinds.offers import Offer, PointClass, offers_of

__all__ = ["ROWS", "Offer", "PointClass", "choose_closure_kinds", "offers_of"]
