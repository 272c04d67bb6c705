"""A season from a few lines of text, for tests of the engine.

`season(episode, studio=...)` fills in what every season needs: one zone without clock changes, one
person, one space. Text of the caller stands as it would in the files.
"""

from pathlib import Path
from tempfile import TemporaryDirectory

from episodes.files.reading import read_season
from episodes.model.season import Season

STUDIO = """\
name = "Test rooms"
timezone = "{zone}"
release = {{ on = "first friday", at = 09:00:00 }}
as_of = {as_of}
{studio}
[[person]]
id = "host"
hours = {{ {hours} }}
{people}
[[space]]
id = "room"
{room}
{spaces}
"""

EVENINGS = 'daily = ["18:00-21:30"]'


def season(
    episode: str,
    *,
    as_of: str = "2027-03-01T00:00:00",
    zone: str = "UTC",
    hours: str = EVENINGS,
    studio: str = "",
    people: str = "",
    room: str = "",
    spaces: str = "",
    others: dict[str, str] | None = None,
    name: str = "2027-04-test",
) -> Season:
    """The season of one episode (and `others`, by id), read from real files."""
    with TemporaryDirectory() as folder:
        place = Path(folder)
        (place / "studio.toml").write_text(
            STUDIO.format(
                zone=zone, as_of=as_of, studio=studio, hours=hours, people=people, room=room,
                spaces=spaces,
            ),
            encoding="utf-8",
        )  # fmt: skip
        files = {name: 'room = "room"\n' + episode, **(others or {})}
        for stem, text in files.items():
            (place / f"{stem}.toml").write_text(text, encoding="utf-8")
        return read_season(place, clock=0)


def minutes(day: int, hour: int = 0, minute: int = 0, *, month: int = 3, year: int = 2027) -> int:
    """A UTC minute of March 2027 (or another month)."""
    from datetime import UTC, datetime

    return int(datetime(year, month, day, hour, minute, tzinfo=UTC).timestamp()) // 60
