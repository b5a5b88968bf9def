"""Teams and their tokens."""

from service.store.access.facade import USED_EVERY, AccessStore, HeldToken

__all__ = ["USED_EVERY", "AccessStore", "HeldToken"]
