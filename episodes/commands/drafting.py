"""What `new` and `add` both ask of the command line: the folder, people by name."""

from collections.abc import Iterable
from pathlib import Path
from typing import TYPE_CHECKING

import click

from episodes.commands.opening import now_of
from episodes.files.drafting import (
    DESK,
    WORKSHOP,
    DraftError,
    in_words,
    needs_of,
    places_of,
    setting_of,
    together,
    used_spaces,
    with_what_they_bring,
)
from episodes.files.drafting import chosen_people as _chosen_people

if TYPE_CHECKING:
    from episodes.model.studio import Studio

__all__ = [
    "DESK", "WORKSHOP", "asked_place", "chosen_people", "in_words", "needs_of", "places_of",
    "setting_of", "together", "used_spaces", "with_what_they_bring",
]  # fmt: skip


def asked_place(season_option: Path | None, now_text: str | None) -> tuple[Path, int | None]:
    """The folder that was asked for, there or not, and the moment of `--now`.

    Raises:
        click.BadParameter: it is not a moment.
    """
    root = click.get_current_context().find_root().params
    path = Path(season_option or root.get("season_option") or "")
    folder = path.parent if path.suffix == ".toml" else path
    return folder, now_of(now_text if now_text is not None else root.get("now_text"), folder)


def chosen_people(studio: "Studio", named: Iterable[str]) -> tuple[str, ...]:
    """Ids of the people who do the builds: those named, else the studio's first two.

    Raises:
        click.UsageError: somebody is not of this studio.
    """
    try:
        return _chosen_people(studio, named)
    except DraftError as error:
        raise click.UsageError(str(error)) from None
