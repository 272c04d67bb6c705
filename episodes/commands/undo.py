"""`undo` takes the last change back, `redo` makes it again."""

from pathlib import Path

import click

from episodes.commands.facts import fact_options
from episodes.commands.opening import open_season


@click.command("undo")
@fact_options
def undo(season_option: Path | None, now_text: str | None, as_json: bool) -> None:
    """Take the last change back, if its file is still as that change left it."""
    _turn(season_option, now_text, as_json, back=True)


@click.command("redo")
@fact_options
def redo(season_option: Path | None, now_text: str | None, as_json: bool) -> None:
    """Make the change again that was undone last."""
    _turn(season_option, now_text, as_json, back=False)


def _turn(season_option: Path | None, now_text: str | None, as_json: bool, *, back: bool) -> None:
    from episodes.commands.facts import tell
    from episodes.files import journal

    opened = open_season(None, season_option, now_text)
    what: list[str] = []

    def change() -> None:
        what.append((journal.undo if back else journal.redo)(opened.folder))

    tell(
        opened,
        change,
        lambda: f"{'Undone' if back else 'Done again'}: {what[0]}",
        as_json=as_json,
    )
