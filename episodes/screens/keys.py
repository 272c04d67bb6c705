"""The keys that every page knows, in one table for the dispatch, the key line and the help."""

from typing import TYPE_CHECKING

from episodes.screens.page import Key, key

if TYPE_CHECKING:
    from episodes.screens.app import EpisodesApp


def common_keys(app: "EpisodesApp") -> tuple[Key, ...]:
    """Moving, writing, turning pages, finding, leaving."""
    return (*_moving(app), *app.keeping.keys(), *app.writing.keys(), *_turning(app))


def _moving(app: "EpisodesApp") -> tuple[Key, ...]:
    return (
        key("up", "k", run=lambda _: app.page.step(-1)),
        key(
            "down",
            "j",
            shown=f"{app.marks.up_down} j k",
            text="the row above, the row below",
            run=lambda _: app.page.step(1),
        ),
        key("ctrl+u", run=lambda _: app.page.step(-app.page.height // 2)),
        key("ctrl+d", run=lambda _: app.page.step(app.page.height // 2)),
        key("pageup", run=lambda _: app.page.step(1 - app.page.height)),
        key(
            "pagedown",
            shown="PgUp PgDn",
            text="a screenful; Ctrl+u Ctrl+d half of one",
            run=lambda _: app.page.step(app.page.height - 1),
        ),
        key("g", "home", run=lambda _: app.page.step(-app.page.length)),
        key(
            "G",
            "shift+g",
            "end",
            shown="g G",
            text="the first row, the last",
            run=lambda _: app.page.step(app.page.length),
        ),
        key(
            "enter",
            shown="Enter",
            text="open, unfold; where something is tried: write it into the plan",
            run=lambda _: app.page.enter(),
        ),
    )


def _turning(app: "EpisodesApp") -> tuple[Key, ...]:
    names = list(app.pages)
    return (
        key("escape", run=lambda _: app.keeping.put_back()),
        key(
            *(str(number) for number in range(1, len(names) + 1)),
            shown=f"1-{len(names)}",
            text="the pages; Tab the next one",
            run=lambda name: app.open(app.pages[names[int(name) - 1]]),
        ),
        key(
            "O",
            "shift+o",
            shown="O",
            text="the odds of this room, with a picture of when it is ready",
            run=lambda _: app.odds.open(),
        ),
        key("tab", run=lambda _: app.turn(1)),
        key("shift+tab", run=lambda _: app.turn(-1)),
        key(
            "slash",
            shown="/",
            text="find a step, box, shot or room by its name",
            run=lambda _: app.finding.find(),
        ),
        key(
            "ctrl+p",
            "colon",
            shown="Ctrl+p :",
            text="every command by its name",
            run=lambda _: app.finding.palette(),
        ),
        key("question_mark", shown="?", text="these keys", run=lambda _: app.help()),
        key("q", shown="q", text="leave", run=lambda _: app.leave()),
    )
