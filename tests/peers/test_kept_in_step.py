"""The exported file kept in step with a CalDAV server (RFC 4791) by a general synchroniser.

As `docs/how-to/calendar-server.md` tells it: Radicale is the server, on the loopback and in a
folder of its own; vdirsyncer is the synchroniser, with the configuration that the page shows. All
requests are made by processes of their own, as a user's would be.
"""

import json
import os
import re
import socket
import subprocess
import sys
from collections.abc import Iterator
from datetime import UTC
from pathlib import Path

import pytest
from icalendar import Calendar

from tests.commands.test_calendar import EPISODE, STUDIO
from tests.peers.programs import program
from tests.reference.rfc5545 import read

PAGE = Path(__file__).parents[2] / "docs" / "how-to" / "calendar-server.md"
NOW = "2027-04-05T08:00"
SERVER = """[server]
hosts = 127.0.0.1:{port}
[auth]
type = none
[storage]
filesystem_folder = {folder}
[logging]
level = warning
"""
REQUEST = """
import sys, time, urllib.error, urllib.request
method, url, body = sys.argv[1], sys.argv[2], sys.stdin.buffer.read()
opener = urllib.request.build_opener(urllib.request.ProxyHandler({}))
for attempt in range(100):
    try:
        headers = {"Content-Type": "text/calendar; charset=utf-8"}
        request = urllib.request.Request(url, body or None, headers, method=method)
        sys.stdout.buffer.write(opener.open(request, timeout=10).read())
        break
    except urllib.error.HTTPError as error:
        sys.exit(f"{error.code} {error.read()}")
    except OSError:
        time.sleep(0.1)
else:
    sys.exit("no answer")
"""


def ask(method: str, url: str, body: bytes = b"") -> bytes:
    ran = subprocess.run(
        [sys.executable, "-c", REQUEST, method, url],
        input=body, capture_output=True, timeout=60, check=False,
    )  # fmt: skip
    assert ran.returncode == 0, ran.stderr
    return ran.stdout


@pytest.fixture
def server(tmp_path: Path) -> Iterator[str]:
    """The address of an empty calendar on a server that runs for one test."""
    with socket.socket() as free:
        free.bind(("127.0.0.1", 0))
        port = free.getsockname()[1]
    config = tmp_path / "server.conf"
    config.write_text(SERVER.format(port=port, folder=tmp_path / "server"))
    running = subprocess.Popen(
        [program("radicale"), "--config", str(config)],
        stdout=subprocess.DEVNULL, stderr=subprocess.DEVNULL,
    )  # fmt: skip
    address = f"http://127.0.0.1:{port}/host/plan/"
    try:
        ask("MKCOL", f"http://127.0.0.1:{port}/host/")
        ask("MKCALENDAR", address)
        yield address
    finally:
        running.terminate()
        running.wait(timeout=30)


@pytest.fixture
def season(tmp_path: Path) -> Path:
    folder = tmp_path / "season"
    folder.mkdir()
    (folder / "studio.toml").write_text(STUDIO)
    (folder / "2027-05-laundry.toml").write_text(EPISODE)
    return folder


def export(season: Path, now: str = NOW) -> bytes:
    file = season / "friday.ics"
    subprocess.run(
        [sys.executable, "-m", "episodes", "calendar", str(season), "-o", str(file), "--now", now],
        capture_output=True, timeout=120, check=True,
    )  # fmt: skip
    return file.read_bytes()


def sync(season: Path, server: str) -> list[str]:
    """Run the synchroniser with the page's configuration; what it copied, by UID."""
    shown = re.search(r"```ini\n(.*?)```", PAGE.read_text(encoding="utf-8"), re.DOTALL)
    assert shown is not None
    config = shown[1]
    for found, put in (
        ('"~/friday/friday.ics"', json.dumps(str(season / "friday.ics"))),
        ('"~/.vdirsyncer/status"', json.dumps(str(season.parent / "status"))),
        ('"https://calendar.example/host/friday/"', json.dumps(server)),
    ):
        assert found in config
        config = config.replace(found, put)
    file = season.parent / "sync.conf"
    file.write_text(config)
    said = ""
    for command in (["discover", "friday"], ["sync", "friday"]):
        ran = subprocess.run(
            [program("vdirsyncer"), "-c", str(file), *command],
            env={**os.environ, "CALENDAR_PASSWORD": "-", "NO_PROXY": "127.0.0.1"},
            capture_output=True, text=True, timeout=120, check=False,
        )  # fmt: skip
        assert ran.returncode == 0, ran.stderr
        said = ran.stderr + ran.stdout
    return re.findall(r"Copying \((?:uploading|updating)\) item (\S+) to friday_server", said)


def on_the_server(server: str) -> dict[str, tuple[str, str, str]]:
    """Start, end and status of each event there by UID."""
    calendar = Calendar.from_ical(ask("GET", server))
    return {
        str(event["UID"]): (
            event["DTSTART"].dt.astimezone(UTC).isoformat(),
            event["DTEND"].dt.astimezone(UTC).isoformat(),
            str(event["STATUS"]),
        )
        for event in calendar.walk("VEVENT")
    }


def in_the_file(data: bytes) -> dict[str, tuple[str, str, str]]:
    found = read(data)
    assert found.faults == []
    return {
        entry.text("UID"): (
            entry.start.isoformat(),  # type: ignore[union-attr]
            entry.end.isoformat(),  # type: ignore[union-attr]
            entry.text("STATUS"),
        )
        for entry in found.entries
    }


def test_the_server_follows_the_file_and_only_what_changed_is_sent(
    season: Path, server: str
) -> None:
    first = export(season)
    assert sorted(sync(season, server)) == sorted(in_the_file(first))
    assert on_the_server(server) == in_the_file(first)
    # Relations and their gaps come through whole.
    assert b"RELTYPE=FINISHTOSTART" in ask("GET", server)

    assert sync(season, server) == [], "nothing has changed, and something was sent"

    plan = season / "2027-05-laundry.toml"
    plan.write_text(plan.read_text().replace('lead = "3d"', 'lead = "3d"\nordered = 2027-04-05'))
    second = export(season, "2027-04-06T08:00")
    changed = {
        uid for uid, said in in_the_file(second).items() if in_the_file(first).get(uid) != said
    }
    sent = set(sync(season, server))
    assert changed <= sent
    assert len(sent) < len(in_the_file(second))
    assert on_the_server(server) == in_the_file(second)
    assert "CANCELLED" in {status for _, _, status in on_the_server(server).values()}


def test_an_edit_on_the_server_is_put_back_and_never_reaches_the_plan(
    season: Path, server: str
) -> None:
    data = export(season)
    sync(season, server)
    # Any of them, by the name that the server gave it.
    stored = next((season.parent / "server").rglob("plan/*.ics"))
    place = f"{server}{stored.name}"
    edited = re.sub(rb"SUMMARY:[^\r]*", b"SUMMARY:Mine", ask("GET", place), count=1)
    ask("PUT", place, edited)
    assert b"SUMMARY:Mine" in ask("GET", server)
    # The first run notices the edit, the second puts it back.
    sync(season, server)
    sync(season, server)
    # The synchroniser writes the file anew, the same entries in another order; that is all.
    synced = (season / "friday.ics").read_bytes()
    assert sorted(synced.split(b"\r\n")) == sorted(data.split(b"\r\n"))
    assert export(season, "2027-04-05T09:00") == data
    assert b"SUMMARY:Mine" not in ask("GET", server)
    assert on_the_server(server) == in_the_file(data)
