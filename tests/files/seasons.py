"""Seasons written into a folder for one test, and read as a command would read them."""

from collections.abc import Mapping
from datetime import date
from pathlib import Path

import pytest

from episodes.calendars.local_time import zone
from episodes.files.reading import read_season
from episodes.model.episode import Episode, Job, Parcel, Shot, Step
from episodes.model.season import Season
from episodes.problems import PlanError, Problem

FIXTURES = Path(__file__).parents[2] / "fixtures"
STUDIO = (FIXTURES / "base" / "studio.toml").read_text(encoding="utf-8")
LAUNDRY = "2027-05-laundry"
CLOCK = 30_092_460
"""2027-03-20 08:00 in Chicago, where the base studio stands."""


def minute(text: str, zone_name: str = "America/Chicago") -> int:
    """UTC minute of local `2027-03-20 08:00`."""
    day, _, time = text.partition(" ")
    hours, _, minutes = (time or "00:00").partition(":")
    return zone(zone_name).utc(date.fromisoformat(day), int(hours) * 60 + int(minutes))


def write(folder: Path, files: Mapping[str, str]) -> Path:
    """A season of the base studio and these files (name without .toml to text)."""
    for name, text in {"studio": STUDIO, **files}.items():
        file = folder / f"{name}.toml"
        file.parent.mkdir(parents=True, exist_ok=True)
        file.write_text(text, encoding="utf-8")
    return folder


def read(folder: Path, files: Mapping[str, str], now: int | None = None) -> Season:
    return read_season(write(folder, files), clock=CLOCK, now=now)


def read_one(folder: Path, text: str, *, studio: str = STUDIO, now: int | None = None) -> Episode:
    """The one episode, `2027-05-laundry`, of this text."""
    return read(folder, {"studio": studio, LAUNDRY: text}, now).episode(LAUNDRY)


def faults(folder: Path, files: Mapping[str, str], now: int | None = None) -> list[Problem]:
    """The errors of a season that must have some."""
    with pytest.raises(PlanError) as caught:
        read(folder, files, now)
    return [problem for problem in caught.value.problems if problem.level == "error"]


def faults_of(folder: Path, text: str, **more: str) -> list[Problem]:
    """The errors of a season whose episode has this text."""
    return faults(folder, {LAUNDRY: text, **more})


def job(episode: Episode, id: str) -> Job:
    return next(job for job in episode.jobs if job.id == id)


def step(episode: Episode, id: str) -> Step:
    return next(step for job in episode.jobs for step in job.steps if step.id == id)


def parcel(episode: Episode, id: str) -> Parcel:
    return next(parcel for parcel in episode.parcels if parcel.id == id)


def shot(episode: Episode, id: str) -> Shot:
    return next(shot for shot in episode.shots if shot.id == id)
