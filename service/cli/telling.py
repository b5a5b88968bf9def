"""Whoever tells webhooks, as a part of the commands that keep running."""

from __future__ import annotations

from contextlib import AbstractContextManager, nullcontext

from service.cli.failures import CommandError
from service.settings import SettingError, Settings


def telling(chosen: Settings) -> AbstractContextManager[object]:
    """Tell the webhooks of the settings' database as long as the block runs, unless the settings leave it to others."""
    # Imported here: help and refusals need none of it.
    from service.telling.networks import allowed_from
    from service.telling.pace import DAY_S, Pace
    from service.telling.teller import SENDERS, Teller

    try:
        allowed = allowed_from(chosen.webhook_private)
    except SettingError as error:
        raise CommandError(str(error)) from error
    if chosen.webhook_senders == 0:
        return nullcontext()
    pace = Pace(attempts=chosen.webhook_attempts, off_after_s=chosen.webhook_off_days * DAY_S)
    return Teller(chosen.database, allowed, pace, chosen.webhook_senders or SENDERS)
