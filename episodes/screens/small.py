"""What is left on a terminal too small for the frame: the verdict, the selected row, the reason."""

from typing import ClassVar

from episodes.screens.frame import draw_verdict
from episodes.screens.line import Line
from episodes.screens.marks import BOLD, FAINT
from episodes.screens.page import Key, Page, PageName, Target


class Small(Page):
    """Three rows; keys still go to the page that would be here."""

    name: ClassVar[PageName] = "tonight"
    title: ClassVar[str] = ""

    def build(self) -> None:
        """Nothing to work out."""

    @property
    def length(self) -> int:
        return 4

    def selectable(self, row: int) -> bool:
        return False

    def draw(self, row: int, width: int) -> Line:
        line = Line(width, self.marks)
        page = self.stage.page
        if row == 0:
            draw_verdict(line, self.sitting)
        elif row == 1:
            line.gap(1).put(page.foot()[0], BOLD)
        elif row == 2:
            line.gap(1).put(page.foot()[1])
        elif row == 3:
            line.gap(1).put("needs 60x15", FAINT)
        return line

    def foot(self) -> tuple[str, str]:
        return "", ""

    def target(self) -> Target | None:
        return None

    def open_at(self, target: Target) -> None:
        """Nothing to open."""

    def own_keys(self) -> tuple[Key, ...]:
        return ()

    def enter(self) -> None:
        """Nothing to open."""
