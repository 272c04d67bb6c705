"""Tests against programs that this project does not install: a browser, node, a calendar server.

They are left out of a plain run. `pytest -m peers` runs them, and fails, saying what to install,
where a program is missing. `tests/peers/programs.py` tells where they are looked for.
"""

from pathlib import Path

import pytest

HERE = Path(__file__).parent


def pytest_configure(config: pytest.Config) -> None:
    config.addinivalue_line(
        "markers", "peers: against programs that the project does not install; -m peers runs them"
    )


def pytest_collection_modifyitems(config: pytest.Config, items: list[pytest.Item]) -> None:
    """Only who asks for them gets them, whatever else was asked for with -m."""
    mine = [item for item in items if HERE in item.path.parents]
    for item in mine:
        item.add_marker(pytest.mark.peers)
    if "peers" not in (config.option.markexpr or ""):
        config.hook.pytest_deselected(items=mine)
        items[:] = [item for item in items if item not in mine]
