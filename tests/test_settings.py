"""The operator's settings, by environment variables."""

from __future__ import annotations

from pathlib import Path

import pytest

from service.settings import SettingError, Settings, environment_of, settings_from


def test_nothing_set_is_every_default() -> None:
    """An empty environment, or empty variables, give the defaults; the server is reached from this host alone."""
    assert settings_from({}) == settings_from({"TRAYWRIGHT_PORT": " "}) == Settings()
    assert Settings().hosts == ("127.0.0.1",)


def test_every_setting_reaches_a_worker_by_its_environment() -> None:
    """What one process writes, another reads."""
    for settings in (
        Settings(),
        Settings("postgresql://h/d", ("127.0.0.1", "::1"), 9, 2, 3, 4096, 8, 10, False, 3, Path("other.yaml")),
    ):
        assert settings_from(environment_of(settings)) == settings


@pytest.mark.parametrize(
    ("name", "value"),
    [("PORT", "http"), ("PORT", "0"), ("PORT", "-1"), ("WORKERS", "1.5"), ("BODY_LIMIT", "2MiB"), ("THREADS", "９"),
     ("CHECK_ANSWERS", "yes"), ("CHECK_ANSWERS", "1"), ("PORT", "9" * 400)],
)  # fmt: skip
def test_a_value_that_cannot_be_read_is_refused_by_name(name: str, value: str) -> None:
    """The sentence names the variable."""
    with pytest.raises(SettingError, match=f"TRAYWRIGHT_{name}"):
        settings_from({f"TRAYWRIGHT_{name}": value})
