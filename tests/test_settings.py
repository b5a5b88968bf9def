"""The operator's settings, by environment variables."""

from __future__ import annotations

from pathlib import Path

import pytest

from service.settings import Rate, SettingError, Settings, environment_of, settings_from


def test_nothing_set_is_every_default() -> None:
    """An empty environment, or empty variables, give the defaults; the server is reached from this host alone."""
    assert settings_from({}) == settings_from({"TRAYWRIGHT_PORT": " "}) == Settings()
    assert Settings().hosts == ("127.0.0.1",)


def test_every_setting_reaches_a_worker_by_its_environment() -> None:
    """What one process writes, another reads."""
    for settings in (
        Settings(),
        Settings(
            database="postgresql://h/d",
            hosts=("127.0.0.1", "::1"),
            port=9,
            threads=2,
            workers=3,
            body_limit=4096,
            takeoff_limit=8192,
            json_depth=8,
            max_splices=10,
            check_answers=False,
            check_every=3,
            spec=Path("other.yaml"),
            takeoff_workers=0,
            engine=True,
            log_json=False,
            log_requests=False,
            traces="http://127.0.0.1:4318",
            rate_limit=Rate(600, 60),
            rate_store="redis://127.0.0.1:6379/0",
            list_limit=100,
            number_limit=1_000_000,
            range_limit=864,
            webhook_senders=0,
            webhook_attempts=3,
            webhook_off_days=2,
            webhook_private="10.0.0.0/8,fd00::/8",
        ),
        Settings(takeoff_workers=2),
    ):
        assert settings_from(environment_of(settings)) == settings


@pytest.mark.parametrize(
    ("name", "value"),
    [("PORT", "http"), ("PORT", "0"), ("PORT", "-1"), ("WORKERS", "1.5"), ("BODY_LIMIT", "2MiB"), ("THREADS", "９"),
     ("CHECK_ANSWERS", "yes"), ("CHECK_ANSWERS", "1"), ("PORT", "9" * 400), ("TAKEOFF_WORKERS", "-1"),
     ("TAKEOFF_WORKERS", "few"), ("RATE_LIMIT", "600"), ("RATE_LIMIT", "0/60"), ("RATE_LIMIT", "600/0"),
     ("RATE_LIMIT", "600/60/60"), ("RATE_LIMIT", "-1/60"), ("RATE_LIMIT", "many/day"),
     ("LIST_LIMIT", "0"), ("RANGE_LIMIT", "few")],
)  # fmt: skip
def test_a_value_that_cannot_be_read_is_refused_by_name(name: str, value: str) -> None:
    """The sentence names the variable."""
    with pytest.raises(SettingError, match=f"TRAYWRIGHT_{name}"):
        settings_from({f"TRAYWRIGHT_{name}": value})
