"""Which part of the run-up is in sight: how long a cell is, and how far it is panned."""

from episodes.screens.band import ZOOMS, Scale, whole

PAN = 10
"""Cells that one key moves the band."""


class View:
    """The window on a band. It keeps to the edge of the release until it is panned away.

    Attributes:
        width: cells of the band.
        cell: minutes a cell; 0 until `show_whole` has chosen.
        beyond: cells shown to the right of the release's edge; negative where it is out of sight.
    """

    def __init__(self) -> None:
        self.width = 60
        self.cell = 0
        self.beyond = 0

    def scale(self, release: int) -> Scale:
        return Scale(release, self.cell or ZOOMS[0], self.width, self.beyond)

    def show_whole(self, release: int, first: int, last: int) -> None:
        """Chooses the smallest cell with which all from `first` to `last` is in sight.

        What lies beyond the release, of a room that slips, stands to the right of its edge.
        """
        over = max(last - release, 0)
        self.cell = whole(release, first - over, self.width - 3)
        self.beyond = -(-over // self.cell)

    def pan(self, cells: int) -> None:
        """Moves the window that many cells later."""
        self.beyond += cells

    def hold(self, release: int, first: int, last: int) -> None:
        """Keeps something of the stretch `first` to `last` in sight, however far it was panned."""
        scale = self.scale(release)
        if scale.column(last) < 1:
            self.pan(scale.column(last) - 1)
        elif scale.column(first) > self.width - 2:
            self.pan(scale.column(first) - self.width + 2)

    def bring(self, release: int, minute: int) -> bool:
        """Pans just so far that a minute is in sight with room around it; whether it had to."""
        scale = self.scale(release)
        column = scale.column(minute)
        if column < 1:
            self.pan(column - PAN // 2)
        elif column >= scale.width - 1 and column != scale.edge:
            self.pan(column - scale.width + 1 + PAN // 2)
        else:
            return False
        return True

    def zoom(self, release: int, minute: int, by: int) -> bool:
        """A longer cell (`by` 1) or a shorter one (-1); False at the end of the ladder.

        `minute` stays in the cell in which it stands; zooming out at the edge of the release
        stays at that edge.
        """
        index = ZOOMS.index(self.cell) + by if self.cell in ZOOMS else 0
        if not 0 <= index < len(ZOOMS):
            return False
        column = self.scale(release).column(minute)
        self.cell = ZOOMS[index]
        if self.beyond < 0 or by < 0:
            self.pan(self.scale(release).column(minute) - min(max(column, 1), self.width - 2))
        self.bring(release, minute)
        return True
