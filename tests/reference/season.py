"""A season folder as plain dicts: TOML read with the contract's defaults filled in.

`load(folder)` gives `{"studio", "clock", "carriers", "holidays", "episodes"}`; each episode keeps
its raw tables, with its release as a UTC minute and every step, shot and parcel knowing its own
resolved `who`, `where`, `gear` and bounds. Only valid seasons are read here.
"""

import calendar
import tomllib
from datetime import date, datetime, timedelta
from pathlib import Path
from typing import Any

from tests.reference import values
from tests.reference.carrier import Carrier
from tests.reference.clock import Clock, utc_minute

ORDINALS = ("first", "second", "third", "fourth")
WEEKDAYS = ("monday", "tuesday", "wednesday", "thursday", "friday", "saturday", "sunday")

Table = dict[str, Any]


def load(folder: Path) -> Table:
    """The whole season of a folder, without `ideas/`."""
    studio = tomllib.loads((folder / "studio.toml").read_text(encoding="utf-8"))
    clock = Clock(studio["timezone"])
    texts = {path.stem: path.read_text(encoding="utf-8") for path in folder.glob("*.toml")}
    raw = {id: tomllib.loads(text) for id, text in texts.items() if id != "studio"}
    releases = {id: _release(studio, clock, id, table) for id, table in raw.items()}
    holidays = _holidays(studio, releases.values(), clock)
    season: Table = {
        "studio": studio,
        "clock": clock,
        "holidays": holidays,
        "people": {person["id"]: person for person in studio["person"]},
        "spaces": {space["id"]: space for space in studio.get("space", [])},
        "gear": {gear["id"]: gear.get("count", 1) for gear in studio.get("gear", [])},
        "carriers": {
            table["id"]: Carrier(clock, table, holidays) for table in studio.get("carrier", [])
        },
        "no_carrier": Carrier(clock, {}, holidays),
        "cushion": values.minutes(studio["cushion"]) if "cushion" in studio else None,
        "busy": {
            person["id"]: [span for name in person.get("busy", []) for span in _busy(folder / name)]
            for person in studio["person"]
        },
    }
    order = sorted(raw, key=lambda id: (releases[id], id))
    season["episodes"] = [_episode(season, id, raw[id], releases[id]) for id in order]
    return season


def as_of(season: Table) -> int | None:
    """The minute the studio says it is read from."""
    value = season["studio"].get("as_of")
    return None if value is None else instant(season["clock"], value, up=True)


def instant(clock: Clock, value: date | str, *, up: bool, release: int | None = None) -> int:
    """A bound or fact: lower bounds round up and begin a day, upper ones (`up` false) end it."""
    if isinstance(value, str):
        return _from_release(clock, value, up=up, release=release)
    if isinstance(value, datetime):
        if value.tzinfo is not None:
            return utc_minute(value, up=up)
        whole = value.replace(second=0, microsecond=0)
        minute = clock.at(value.date(), value.hour * 60 + value.minute)
        return minute + (1 if up and value != whole else 0)
    return clock.at(value, 0) if up else clock.at(value + timedelta(days=1), 0)


def _from_release(clock: Clock, text: str, *, up: bool, release: int | None) -> int:
    if release is None or not text.startswith("release"):
        return instant(clock, datetime.fromisoformat(text), up=up)
    sign = -1 if text[7] == "-" else 1
    length = text[8:]
    if length[-1] in "dw":
        day = clock.day(release) + timedelta(days=sign * values.minutes(length) // 1440)
        return instant(clock, day, up=up)
    return release + sign * values.minutes(length)


def _release(studio: Table, clock: Clock, id: str, table: Table) -> int:
    rule = studio.get("release", {})
    hour = values.wall_minute(rule["at"]) if "at" in rule else 9 * 60
    value = table.get("release", id[:7])
    if isinstance(value, datetime):
        return instant(clock, value, up=False)
    if isinstance(value, date):
        return clock.at(value, hour)
    year, month = (int(part) for part in value.split("-"))
    nth, weekday = rule.get("on", "first friday").split()
    first = date(year, month, 1)
    days = [first + timedelta(days=step) for step in range(calendar.monthrange(year, month)[1])]
    fit = [day for day in days if day.weekday() == WEEKDAYS.index(weekday)]
    return clock.at(fit[-1] if nth == "last" else fit[ORDINALS.index(nth)], hour)


def _holidays(studio: Table, releases: Any, clock: Clock) -> frozenset[date]:
    if "holidays" not in studio:
        return frozenset()
    import holidays

    country, _, part = studio["holidays"].partition("-")
    years = [clock.day(release).year for release in releases]
    span = range(min(years) - 2, max(years) + 3)
    return frozenset(holidays.country_holidays(country, subdiv=part or None, years=span))


def _busy(path: Path) -> list[tuple[int, int]]:
    """Single events with UTC times: all that the generated calendars use."""
    spans, start = [], 0
    for line in path.read_text(encoding="utf-8").splitlines():
        name, _, value = line.strip().partition(":")
        if name in ("DTSTART", "DTEND"):
            minute = utc_minute(datetime.strptime(value + "+0000", "%Y%m%dT%H%M%SZ%z"), up=True)
            if name == "DTSTART":
                start = minute
            else:
                spans.append((start, minute))
    return spans


def _episode(season: Table, id: str, table: Table, release: int) -> Table:
    clock, defaults = season["clock"], season["studio"].get("defaults", {})
    room = table.get("room")
    episode: Table = {
        "id": id,
        "title": table.get("title", id),
        "release": release,
        "room": room,
        "budget": table.get("budget"),
        "released": "released" in table,
        "may_start": instant(clock, table["may_start"], up=True, release=release)
        if "may_start" in table
        else None,
        "parcels": [{**defaults.get("parcel", {}), **parcel} for parcel in table.get("parcel", [])],
        "jobs": [],
        "shots": [],
    }
    first = [season["studio"]["person"][0]["id"]]
    for job in table.get("job", []):
        steps = [_step(job, step, defaults.get("step", {}), room, first) for step in job["step"]]
        episode["jobs"].append({**job, "steps": steps})
    for shot in table.get("shot", []):
        episode["shots"].append(_shot(episode, shot, defaults.get("shot", {}), first))
    return episode


def _step(job: Table, step: Table, defaults: Table, room: str | None, first: list[str]) -> Table:
    def nearest(key: str, fallback: Any, *, wait_too: bool = False) -> Any:
        if key in step:
            return step[key]
        if "wait" in step and not wait_too:
            return fallback
        return job.get(key, defaults.get(key, fallback))

    is_wait = "wait" in step
    return {
        **step,
        "wait?": is_wait,
        "length": values.likely(step["wait"] if is_wait else step["hands"]),
        "who": [] if is_wait else nearest("who", first),
        "where": nearest("where", room, wait_too=True),
        "gear": gear_table(nearest("gear", {}, wait_too=True)),
        "makes": list(nearest("makes", [])),
        "needs_air": list(nearest("needs_air", [])),
        "one_go": step.get("one_go", defaults.get("one_go", "coat" in step)),
        "light": None if is_wait else step.get("light", defaults.get("light")),
        "optional": step.get("optional", job.get("optional", False)),
        "fallback_only": step.get("fallback_only", job.get("fallback_only", False)),
        "dropped?": "dropped" in step or "dropped" in job,
    }


def _shot(episode: Table, shot: Table, defaults: Table, first: list[str]) -> Table:
    merged = {**defaults, **shot}
    of = merged.get("of")
    where = merged.get("where")
    if where is None and of is not None:
        job = next(job for job in episode["jobs"] if job["id"] == of.split(".")[0])
        inside = [step for step in job["steps"] if f"{job['id']}.{step['id']}" == of]
        where = inside[0]["where"] if inside else job.get("where", episode["room"])
    when = merged.get("when", "after")
    return {
        **merged,
        "of": of,
        "when": when,
        "where": where if where is not None else episode["room"],
        "who": merged.get("who", first),
        "gear": gear_table(merged.get("gear", {})),
        "length": values.likely(merged["hands"]) if "hands" in merged else 0,
        "one_go": merged.get("one_go", True),
        "light": None if when == "during" else merged.get("light"),
        "makes": list(merged.get("makes", [])),
        "needs_air": list(merged.get("needs_air", [])),
        "optional": merged.get("optional", False),
        "fallback_only": merged.get("fallback_only", False),
        "dropped?": "dropped" in merged,
    }


def gear_table(gear: list[str] | dict[str, int]) -> dict[str, int]:
    """`["camera"]` and `{ clamps = 4 }` in one form."""
    return dict.fromkeys(gear, 1) if isinstance(gear, list) else dict(gear)
