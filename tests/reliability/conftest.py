"""The small season of the commands' tests, here too."""

from tests.commands.conftest import desk

__all__ = ["desk"]
