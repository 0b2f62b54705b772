"""Settings: sensible for one machine, frozen."""

import dataclasses

import pytest

from service.settings import Settings, cores


def test_by_default_the_service_is_for_this_machine_alone():
    """Out of the box it listens on the loopback, with a worker for each core."""
    settings = Settings()
    assert (settings.host, settings.port) == ("127.0.0.1", 8000)
    assert settings.workers == cores() >= 1


def test_settings_do_not_change():
    """A running service's settings cannot be changed under it."""
    with pytest.raises(dataclasses.FrozenInstanceError):
        Settings().port = 1
