"""What is said where a backup cannot be made or restored."""

from __future__ import annotations

from service.store.errors import StoreError


class BackupError(StoreError):
    """Nothing was written, or what stood there before stands again. The message carries no password."""
