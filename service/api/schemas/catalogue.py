"""The body of a whole catalogue."""

from __future__ import annotations

from service.api.fields import Items
from service.api.schemas import words
from service.api.schemas.cables import CableSchema
from service.api.schemas.closures import ClosureSchema
from service.api.schemas.materials import MaterialSchema
from service.api.schemas.methods import MethodSchema
from service.api.schemas.sleeves import SleeveSchema
from service.api.schemas.trays import TraySchema

_MOST = 5000


class CatalogueSchema(words.Body):
    """All sections; one that is left out is empty."""

    sleeves = Items(words.inner(SleeveSchema), most=_MOST)
    trays = Items(words.inner(TraySchema), most=_MOST)
    closures = Items(words.inner(ClosureSchema), most=_MOST)
    cables = Items(words.inner(CableSchema), most=_MOST)
    methods = Items(words.inner(MethodSchema), most=_MOST)
    materials = Items(words.inner(MaterialSchema), most=_MOST)
