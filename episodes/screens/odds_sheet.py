"""The odds of a room in words, with the picture of its ready moment, laid over the page.

They are counted elsewhere: the sheet opens when they have come.
"""

from typing import TYPE_CHECKING

from episodes.screens.sheet import Said

if TYPE_CHECKING:
    from episodes.screens.app import EpisodesApp


class OddsSheet:
    """Opens the odds of the room in the head, now or as soon as they are counted."""

    def __init__(self, app: "EpisodesApp") -> None:
        self._app = app
        self._wanted = False

    def open(self) -> None:
        room = self._app.sitting.episode()
        if room is None:
            return
        lines = self._app.counting.odds_lines(self._app.sitting, room.id)
        self._wanted = lines is None
        if lines is None:
            self._app.say("The odds are being counted; they open when they are there.")
        else:
            self._app.read("Odds", [Said(line) for line in lines])

    def arrived(self, name: str) -> None:
        if name == "odds lines" and self._wanted:
            self.open()
