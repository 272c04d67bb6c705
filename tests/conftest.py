"""What every test stands on: no network, none of the user's own folders, the same examples.

Programs that a test starts find this tree's package, whether it is installed or not.

Hypothesis runs the profile `ci` (the same examples every time) unless HYPOTHESIS_PROFILE names
another: `deep` looks at many more, and at new ones each run.
"""

import os
import socket
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest
from hypothesis import HealthCheck, settings

PROJECT = Path(__file__).parents[1]

settings.register_profile(
    "ci",
    derandomize=True,
    deadline=None,
    max_examples=60,
    database=None,
    suppress_health_check=[HealthCheck.too_slow],
)
settings.register_profile(
    "deep",
    deadline=None,
    max_examples=2_000,
    suppress_health_check=[HealthCheck.too_slow],
)
settings.load_profile(os.environ.get("HYPOTHESIS_PROFILE", "ci"))


@pytest.fixture(scope="session", autouse=True)
def _own_folders(tmp_path_factory: pytest.TempPathFactory) -> Iterator[None]:
    """Caches and state go to a folder of this run, for the tests and for what they start."""
    home: Path = tmp_path_factory.mktemp("home")
    with pytest.MonkeyPatch.context() as patch:
        for name in ("XDG_CACHE_HOME", "XDG_STATE_HOME", "XDG_CONFIG_HOME", "XDG_DATA_HOME"):
            patch.setenv(name, str(home / name.split("_")[1].lower()))
        paths = (str(PROJECT), os.environ.get("PYTHONPATH", ""))
        patch.setenv("PYTHONPATH", os.pathsep.join(path for path in paths if path))
        patch.delenv("COLUMNS", raising=False)
        patch.delenv("LINES", raising=False)
        yield


@pytest.fixture(autouse=True)
def _no_network(monkeypatch: pytest.MonkeyPatch) -> None:
    """A test that reaches for the network fails; sockets inside the machine stay allowed."""
    connect = socket.socket.connect

    def refuse(self: socket.socket, address: Any) -> None:
        if self.family != socket.AF_UNIX:
            raise AssertionError(f"a test tried to reach {address!r}: tests run without a network")
        connect(self, address)

    monkeypatch.setattr(socket.socket, "connect", refuse)
