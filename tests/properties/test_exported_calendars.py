"""Seasons made up by a seed, exported: no fault by the standards, each moment where `check` has it.

The file is read by the strict reader of `tests/reference` (RFC 5545, 7986, 9253), which shares no
code with the writer, and held against the answer that `check --json` prints.
`EPISODES_SEASONS=500` looks at more seasons, and larger ones.
"""

import os
import re
from collections import Counter
from datetime import UTC, datetime, timedelta
from pathlib import Path
from typing import Any

import pytest
import tomlkit

from episodes.answers.check import answer
from episodes.answers.planning import plan_season
from episodes.answers.precedence import precedences
from episodes.exports.ical import CalendarFile, calendar_file
from episodes.exports.ical_entries import Options
from episodes.exports.records import check_record
from episodes.files.reading import read_season
from tests.asking import MATERIALS
from tests.reference import generate, referee
from tests.reference.rfc5545 import File, read

PRODUCTS = referee.products(MATERIALS)
MANY = int(os.environ.get("EPISODES_SEASONS", "0"))
COUNT = MANY or 6
SIZES = (8, 15, 25, 40, 80, 150) if MANY else (8, 11, 15)
STAMPS = re.compile(rb"^(?:DTSTAMP|LAST-MODIFIED|SEQUENCE):.*\r\n", re.MULTILINE)
Made = tuple[CalendarFile, dict[str, Any]]


def export(folder: Path, earlier: bytes | None = None, **options: bool) -> Made:
    """The file of a season and what `check --json` says of it."""
    planning = plan_season(read_season(folder, clock=0))
    judged = answer(planning)
    chosen = Options(**options)  # type: ignore[arg-type]
    links = precedences(planning, waits=chosen.waits)
    made = calendar_file(
        judged, planning.season, now=judged.now, earlier=earlier, options=chosen, links=links
    )
    return made, check_record(judged)


def instant(text: str) -> datetime:
    return datetime.fromisoformat(text).astimezone(UTC)


def blocks(data: bytes) -> dict[str, bytes]:
    """The octets of each event and task by UID."""
    found = re.findall(rb"BEGIN:(VEVENT|VTODO)\r\n(.*?)END:\1\r\n", data, re.DOTALL)
    return {re.search(rb"^UID:(.*)\r$", body, re.MULTILINE)[1].decode(): body for _, body in found}  # type: ignore[index]


def check_instants(found: File, record: dict[str, Any]) -> None:
    """Each session, deadline and release of the answer stands in the file, counted."""
    spans = Counter((entry.start, entry.end) for entry in found.live)
    ends = {entry.end for entry in found.live}
    starts = {entry.start for entry in found.live}
    now = instant(record["now"])
    for episode in record["episodes"]:
        assert instant(episode["release"]) in starts
        wanted: Counter[tuple[datetime, datetime]] = Counter()
        for row in episode["steps"]:
            if row["kind"] not in ("hands", "shot") or row["state"] in ("done", "dropped"):
                continue
            for start, end in row["sessions"]:
                if start == end:
                    continue
                if instant(start) > now:
                    wanted[instant(start), instant(end)] += 1
                else:
                    assert instant(end) in ends
        missing = wanted - spans
        assert missing == Counter()
        for parcel in episode["parcels"]:
            if parcel["order_by"] is not None and parcel["state"] != "dropped":
                assert instant(parcel["order_by"]) in ends
            if parcel["return_by"] is not None:
                assert instant(parcel["return_by"]) in ends


@pytest.mark.parametrize("seed", range(COUNT))
def test_an_exported_season_has_no_fault_and_every_instant_and_says_the_same_again(
    seed: int, tmp_path: Path
) -> None:
    folder = generate.write(seed, SIZES[seed % len(SIZES)], tmp_path / "season", PRODUCTS)
    waits = seed % 2 == 1
    made, record = export(folder, waits=waits, tasks=seed % 3 == 1, alarms=seed % 5 == 1)
    found = read(made.data)
    assert found.faults == []
    check_instants(found, record)
    again, _ = export(folder, made.data, waits=waits, tasks=seed % 3 == 1, alarms=seed % 5 == 1)
    assert again.data == made.data


@pytest.mark.parametrize("seed", range(COUNT))
def test_a_change_of_the_plan_changes_what_it_moves_and_nothing_else(
    seed: int, tmp_path: Path
) -> None:
    folder = generate.write(seed, SIZES[seed % len(SIZES)], tmp_path / "season", PRODUCTS)
    before, record = export(folder)
    # The first person is away for a week from tomorrow.
    studio = tomlkit.parse((folder / "studio.toml").read_text(encoding="utf-8"))
    first = studio["person"][0]  # type: ignore[index]
    tomorrow = datetime.fromisoformat(record["now"]).date() + timedelta(days=1)
    first["off"] = [*first.get("off", ()), f"{tomorrow}..{tomorrow + timedelta(days=6)}"]
    (folder / "studio.toml").write_text(tomlkit.dumps(studio), encoding="utf-8")
    after, record = export(folder, before.data)
    found = read(after.data)
    assert found.faults == []
    check_instants(found, record)
    then, now = blocks(before.data), blocks(after.data)
    assert then.keys() <= now.keys(), "nothing is forgotten"
    for uid, old in then.items():
        new = now[uid]
        if STAMPS.sub(b"", old) == STAMPS.sub(b"", new):
            assert old == new, "an entry that says the same has other bytes"
        else:
            assert b"SEQUENCE:0\r" in old
            assert b"SEQUENCE:1\r" in new
