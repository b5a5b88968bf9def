"""What stands in the way of hanging a closure or of recording a visit."""

from __future__ import annotations

from service.store.errors import StoreError


class HungAlready(StoreError):
    """A closure hangs by this plan already: ``installation`` is its id, ``name`` its name."""

    def __init__(self, installation: str, name: str) -> None:
        self.installation, self.name = installation, name
        super().__init__(f"The closure of this plan hangs already, as installation {installation}.")


class Changed(StoreError):
    """Somebody else's visit was recorded while this one was worked out; ``current`` is the revision by now."""

    def __init__(self, current: int) -> None:
        self.current = current
        super().__init__(f"The installation has changed meanwhile; it is at revision {current} by now.")
