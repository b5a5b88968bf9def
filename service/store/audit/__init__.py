"""The record of changes: only ever added to."""

from service.store.audit.acting import acting, acts
from service.store.audit.facade import AuditFilter, AuditStore

__all__ = ["AuditFilter", "AuditStore", "acting", "acts"]
