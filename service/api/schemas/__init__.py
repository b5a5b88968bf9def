"""The bodies that callers send, described in marshmallow: they explain what the published schema refuses."""

from __future__ import annotations

from collections.abc import Mapping

from marshmallow import Schema

from service.api.schemas.cables import CableSchema
from service.api.schemas.catalogue import CatalogueSchema
from service.api.schemas.closures import ClosureSchema
from service.api.schemas.installations import (
    AbandonmentRequestSchema,
    AdditionRequestSchema,
    HangingRequestSchema,
    InstallationPlaceSchema,
    RemovalRequestSchema,
    VisitRequestSchema,
)
from service.api.schemas.materials import MaterialSchema
from service.api.schemas.methods import MethodSchema
from service.api.schemas.orders import OrderRequestSchema, OrderStateChangeSchema, StockLevelSchema
from service.api.schemas.plan_requests import PlanRequestSchema
from service.api.schemas.records import SpliceRecordsRequestSchema
from service.api.schemas.sleeves import SleeveSchema
from service.api.schemas.takeoffs import SplicePointSchema, TakeoffRequestSchema
from service.api.schemas.tokens import TokenRequestSchema
from service.api.schemas.trays import TraySchema
from service.api.schemas.webhooks import WebhookRequestSchema

SCHEMAS: Mapping[str, type[Schema]] = {
    "Sleeve": SleeveSchema,
    "Tray": TraySchema,
    "Closure": ClosureSchema,
    "Cable": CableSchema,
    "Method": MethodSchema,
    "Material": MaterialSchema,
    "Catalogue": CatalogueSchema,
    "PlanRequest": PlanRequestSchema,
    "OrderRequest": OrderRequestSchema,
    "OrderStateChange": OrderStateChangeSchema,
    "StockLevel": StockLevelSchema,
    "HangingRequest": HangingRequestSchema,
    "InstallationPlace": InstallationPlaceSchema,
    "AdditionRequest": AdditionRequestSchema,
    "VisitRequest": VisitRequestSchema,
    "RemovalRequest": RemovalRequestSchema,
    "AbandonmentRequest": AbandonmentRequestSchema,
    "SpliceRecordsRequest": SpliceRecordsRequestSchema,
    "SplicePoint": SplicePointSchema,
    "TakeoffRequest": TakeoffRequestSchema,
    "TokenRequest": TokenRequestSchema,
    "WebhookRequest": WebhookRequestSchema,
}
"""By the name of the published schema of the same body."""
