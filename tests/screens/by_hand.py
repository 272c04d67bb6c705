"""The screens over the answers made by hand, as a program: for looks from outside.

`python -m tests.screens.by_hand [broken]`
"""

import sys

from episodes.screens.app import EpisodesApp
from episodes.screens.launch import show
from tests.screens.hand_engine import HandEngine
from tests.screens.stand import Errands, Notebook


class Broken(HandEngine):
    """An engine with a fault that would tell of the plan."""

    def try_arrivals(self, moved):
        secret = "secret of the plan"
        raise RuntimeError(secret)


if __name__ == "__main__":
    engine = Broken() if "broken" in sys.argv else HandEngine()
    errands = Errands()
    errands.app = EpisodesApp(engine, Notebook(), reload=lambda: engine, errands=errands)
    sys.exit(show(errands.app))
