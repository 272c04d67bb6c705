"""An unchanged calendar is not worked out again; a spoilt cache costs time, never truth."""

import sys
from pathlib import Path

import pytest

from episodes.files import busy, busy_cache
from episodes.files.busy import read_busy
from tests.exports.calendar_answers import CHICAGO, at

START, END = at("2027-03-01 00:00"), at("2027-12-31 00:00")
WEEKLY = "DTSTART:20270405T150000Z\r\nDTEND:20270405T160000Z\r\nRRULE:FREQ=WEEKLY\r\n"
LEFT_OUT = "DTSTART:20270405T150000Z\r\nDURATION:PT1H\r\nRRULE:FREQ=SECONDLY\r\n"


def event(lines: str, uid: str = "a") -> str:
    return f"BEGIN:VEVENT\r\nUID:{uid}\r\nSUMMARY:Choir\r\n{lines}END:VEVENT\r\n"


def text(*events: str) -> str:
    return f"BEGIN:VCALENDAR\r\nVERSION:2.0\r\n{''.join(events)}END:VCALENDAR\r\n"


class Desk:
    """A calendar file, a cache folder of its own, and a count of how often it was worked out."""

    def __init__(self, folder: Path, monkeypatch: pytest.MonkeyPatch) -> None:
        self.file = folder / "builder.ics"
        self.file.write_text(text(event(WEEKLY), event(LEFT_OUT, "b")), newline="")
        self.cache = folder / "cache"
        self.worked = 0
        understand = busy._understand

        def counting(*arguments: object) -> object:
            self.worked += 1
            return understand(*arguments)  # type: ignore[arg-type]

        monkeypatch.setattr(busy, "_understand", counting)

    def read(self, start: int = START, end: int = END, zone: str = CHICAGO) -> object:
        return read_busy(self.file, zone, start, end, cache=self.cache)

    @property
    def kept(self) -> Path:
        (found,) = (self.cache / "busy").iterdir()
        return found


@pytest.fixture
def desk(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Desk:
    return Desk(tmp_path, monkeypatch)


def test_the_second_time_says_the_same_and_works_nothing_out(desk: Desk) -> None:
    first = desk.read()
    assert desk.read() == first
    assert desk.worked == 1


def test_it_is_good_for_the_next_days_too_and_cut_to_what_is_asked(desk: Desk) -> None:
    # The window lies in whole stretches of four weeks: a day more in its middle is no new one.
    middle = START // (28 * 1440) * 28 * 1440 + 5 * 1440
    later = desk.read(middle + 1440, END - 7 * 1440)
    assert desk.worked == 1
    desk.read(middle, END - 7 * 1440)
    assert desk.worked == 1
    assert later == read_busy(
        desk.file, CHICAGO, middle + 1440, END - 7 * 1440, cache=desk.cache / "fresh"
    )


@pytest.mark.parametrize("change", ["content", "zone", "window", "library"])
def test_whatever_has_a_say_makes_it_worked_out_again(
    desk: Desk, monkeypatch: pytest.MonkeyPatch, change: str
) -> None:
    desk.read()
    if change == "content":
        desk.file.write_text(text(event(WEEKLY.replace("T15", "T14"))), newline="")
        found, problems = desk.read()  # type: ignore[misc]
        assert found[0][0] == at("2027-04-05 14:00", "UTC")
        assert problems == ()
    elif change == "zone":
        desk.read(zone="Europe/Dublin")
    elif change == "window":
        desk.read(end=END + 100 * 1440)
    else:
        monkeypatch.setattr(busy_cache, "_versions", lambda: ["another"])
        desk.read()
    assert desk.worked == 2


@pytest.mark.parametrize(
    "spoil",
    [
        lambda data: b"",
        lambda data: b"\xff" * 20,
        lambda data: data[: len(data) // 2],
        lambda data: data.replace(b"1", b"2"),
        lambda data: data.split(b"\n")[0] + b"\n{}",
        lambda data: b"[" * 100_000,
        lambda data: data + b" ",
    ],
    ids=["empty", "binary", "cut-short", "figures", "another-body", "nested", "longer"],
)
def test_a_spoilt_cache_is_passed_over(desk: Desk, spoil: object) -> None:
    first = desk.read()
    desk.kept.write_bytes(spoil(desk.kept.read_bytes()))  # type: ignore[operator]
    assert desk.read() == first
    assert desk.worked == 2
    assert desk.read() == first
    assert desk.worked == 2, "what was spoilt is not mended"


def test_a_cache_that_cannot_be_written_is_no_fault(desk: Desk) -> None:
    desk.cache.write_text("a file, not a folder")
    assert desk.read() == desk.read()
    assert desk.worked == 2


def test_a_calendar_has_one_place_however_often_it_changes(desk: Desk) -> None:
    for hour in range(10, 16):
        desk.file.write_text(text(event(WEEKLY.replace("T15", f"T{hour}"))), newline="")
        desk.read()
    assert desk.worked == 6
    assert desk.kept.stat().st_mode & 0o077 == 0, "others can read whose calendar it is"


def test_a_file_that_cannot_be_read_is_not_kept(desk: Desk) -> None:
    desk.file.write_text("no calendar")
    _, problems = desk.read()  # type: ignore[misc]
    assert problems[0].code == "busy-unreadable"
    assert not (desk.cache / "busy").exists()


def test_a_calendar_read_before_needs_no_calendar_library(desk: Desk) -> None:
    import subprocess

    desk.read()
    code = (
        "import sys; from pathlib import Path; from episodes.files.busy import read_busy;"
        f"found, _ = read_busy(Path({str(desk.file)!r}), {CHICAGO!r}, {START}, {END},"
        f" cache=Path({str(desk.cache)!r}));"
        "print(len(found), 'icalendar' in sys.modules)"
    )
    ran = subprocess.run(
        [sys.executable, "-c", code], capture_output=True, text=True, check=True, timeout=60
    )
    assert ran.stdout == "39 False\n"
