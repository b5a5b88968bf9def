"""Splice records: what crews wrote down of hung closures, and what that adds up to."""

from service.store.records.facade import NumberedRecord, RecordStore

__all__ = ["NumberedRecord", "RecordStore"]
