"""Finding and reading the season that a command was asked about: options, clock, reader.

The clock is read here and nowhere else. Nothing heavy is imported before it is used, so that
`episodes --help` stays quick.
"""

from collections.abc import Callable, Mapping
from dataclasses import dataclass, field
from datetime import UTC, datetime
from pathlib import Path
from typing import TYPE_CHECKING, Any, TypeVar

import click

if TYPE_CHECKING:
    from episodes.model.season import Season
    from episodes.problems import Problem

Command = TypeVar("Command", bound=Callable[..., Any])


@dataclass(frozen=True, slots=True, kw_only=True)
class Opened:
    """A season as a command sees it.

    Attributes:
        folder: the season's folder.
        only: id of the episode whose file was named; None for the whole season.
        clock: the clock's UTC minute, rounded up.
        now: the moment given with `--now`; None without it.
        texts: by name, the plan files as they were read.
    """

    season: "Season"
    folder: Path
    only: str | None
    clock: int
    now: int | None
    texts: Mapping[str, str] = field(default_factory=dict)

    @property
    def stray_problems(self) -> "tuple[Problem, ...]":
        """Problems of the season that are no episode's: a file passed over, a fault in an idea."""
        files = {episode.file for episode in self.season.episodes}
        return tuple(
            problem
            for problem in self.season.problems
            if self.only is None and (problem.where is None or problem.where.file not in files)
        )

    def again(self) -> "Opened":
        """The same season read once more, after a change."""
        from episodes.files.reading import read_season

        season = read_season(self.folder, clock=self.clock, now=self.now)
        return Opened(
            season=season, folder=self.folder, only=self.only, clock=self.clock, now=self.now
        )


def season_argument(command: Command) -> Command:
    """`[SEASON]`: a season's folder or an episode file in it."""
    return click.argument(
        "season_argument",
        metavar="[SEASON]",
        required=False,
        type=click.Path(path_type=Path),
    )(command)


def season_options(command: Command) -> Command:
    """`--season PATH` and `--now INSTANT`, for every command that reads a season."""
    command = click.option(
        "--now",
        "now_text",
        metavar="INSTANT",
        help="Answer as of this moment (2027-04-14T18:00, local or with an offset).",
    )(command)
    return click.option(
        "--season",
        "season_option",
        metavar="PATH",
        type=click.Path(path_type=Path),
        help="A season's folder, or an episode file in it. Default: the current folder.",
    )(command)


def json_option(command: Command) -> Command:
    """`--json`: one JSON object on standard output."""
    return click.option(
        "--json", "as_json", is_flag=True, help="Answer with one JSON object, for programs."
    )(command)


def clock_minute() -> int:
    """The clock, in whole UTC minutes since 1970, rounded up."""
    now = datetime.now(UTC)
    minute = int(now.timestamp()) // 60
    return minute + 1 if now.second or now.microsecond else minute


def season_folder_of(season_option: Path | None) -> Path:
    """The season's folder, whether its files can be read or not; errors as `open_season`."""
    from episodes.files.reading import season_folder

    return season_folder(season_option or Path(_from_root("season_option") or ""))[0]


def load(
    season_argument: Path | None, season_option: Path | None, now_text: str | None
) -> "Season":
    """The season that a command was asked about; errors as `open_season`."""
    return open_season(season_argument, season_option, now_text).season


def open_season(
    season_argument: Path | None, season_option: Path | None, now_text: str | None
) -> Opened:
    """Read the season that a command was asked about.

    Args:
        season_argument: the path given as `[SEASON]`.
        season_option: the path given with `--season`; one of the two, else the current folder.
        now_text: the moment given with `--now`.

    Raises:
        click.UsageError: both paths are given, or the moment is not one.
        PlanError: the season cannot be read; all its faults.
    """
    from episodes.files.reading import read_season, season_folder
    from episodes.files.saving import texts_of

    if season_argument is not None and season_option is not None:
        raise click.UsageError("give the season once: as an argument or with --season")
    path = season_argument or season_option or Path(_from_root("season_option") or "")
    now_text = now_text if now_text is not None else _from_root("now_text")
    folder, only = season_folder(path)
    clock = clock_minute()
    now = now_of(now_text, folder)
    texts = texts_of(folder)
    season = read_season(path, clock=clock, now=now)
    if only is not None and all(episode.id != only for episode in season.episodes):
        raise click.UsageError(
            f'"{only}" is an idea without a month: put its file beside studio.toml as '
            f"YYYY-MM-{only}.toml to plan it"
        )
    return Opened(season=season, folder=folder, only=only, clock=clock, now=now, texts=texts)


def _from_root(name: str) -> Any:
    """An option given before the command's name: `episodes --season PATH check`."""
    context = click.get_current_context(silent=True)
    return None if context is None else context.find_root().params.get(name)


def now_of(text: str | None, folder: Path) -> int | None:
    """The moment given with `--now` in the zone of the season's studio; None without one.

    Raises:
        click.BadParameter: it is not a moment.
    """
    from episodes.commands.moments import parse_instant

    if text is None:
        return None
    try:
        return parse_instant(text, zone_of(folder))
    except ValueError as error:
        raise click.BadParameter(str(error), param_hint="--now") from None


def zone_of(folder: Path) -> str:
    """The studio's time zone, looked up before the season can be read at all.

    A studio file that cannot be read is judged by the reader, with its line; until then UTC does.
    """
    import tomllib

    try:
        studio = tomllib.loads((folder / "studio.toml").read_text(encoding="utf-8-sig"))
    except (OSError, ValueError, RecursionError):
        return "UTC"
    name = studio.get("timezone")
    return name if isinstance(name, str) else "UTC"
