"""Plans and calendars made to hang or fill a program, and odd ones that only look like it.

Lines are as long as a bomb needs.
"""
# ruff: noqa: E501

import subprocess
import sys
from collections.abc import Callable
from pathlib import Path

STUDIO = """\
name = "Bombs"
timezone = "America/Chicago"
release = { on = "first friday" }
as_of = 2027-04-14T18:00:00
[[person]]
id = "host"
hours = { mon-fri = ["18:00-21:30"], sat-sun = ["09:00-17:00"] }
"""
EPISODE = """\
title = "Hall"
[[job]]
id = "wall"
[[job.step]]
id = "paint"
hands = "2h"
"""
NAME = "2027-05-hall.toml"
Bomb = Callable[[Path], None]


def season(folder: Path, episode: str = EPISODE, studio: str = STUDIO) -> None:
    folder.mkdir(parents=True, exist_ok=True)
    (folder / "studio.toml").write_text(studio, encoding="utf-8", newline="")
    (folder / NAME).write_text(episode, encoding="utf-8", newline="")


def _text(episode: str = EPISODE, studio: str = STUDIO) -> Bomb:
    return lambda folder: season(folder, episode, studio)


def _bytes(content: Callable[[], bytes]) -> Bomb:
    def bomb(folder: Path) -> None:
        season(folder)
        (folder / NAME).write_bytes(content())

    return bomb


def _steps(count: int, line: str) -> str:
    return '[[job]]\nid = "j"\nstep = [\n' + "".join(line.format(i=i) for i in range(count)) + "]\n"


def _chain(count: int) -> str:
    return _steps(count, '{{ id = "s{i}", hands = "1min" }},\n')


def _everything_after_everything(count: int) -> str:
    lines = []
    for i in range(count):
        after = ", ".join(f'"s{k}"' for k in range(i))
        lines.append(f'{{ id = "s{i}", wait = "1min", after = [{after}] }},\n')
    return '[[job]]\nid = "j"\nstep = [\n' + "".join(lines) + "]\n"


def _many_episodes(folder: Path) -> None:
    season(folder)
    for year in range(2027, 2067):
        for month in range(1, 13):
            for slug in ("a", "b"):
                (folder / f"{year}-{month:02}-{slug}.toml").write_text(EPISODE, encoding="utf-8")


def _in_a_row(folder: Path) -> None:
    """Windows that can never be kept, one after another."""
    steps = "".join(
        f'{{ id = "s{i}", hands = "3h", after = [{{ step = "s{i - 1}", within = "1min" }}] }},\n'
        for i in range(1, 60)
    )
    text = '[[job]]\nid = "j"\nstep = [\n{ id = "s0", hands = "3h" },\n' + steps + "]\n"
    season(folder, text)


PLANS: dict[str, Bomb] = {
    "arrays nested 100,000 deep": _text("x = " + "[" * 100_000 + "]" * 100_000),
    "tables nested 5,000 deep": _text("x = " + "{ a = " * 5_000 + "1" + " }" * 5_000),
    "a dotted key of 50,000 parts": _text(".".join("a" * 50_000) + " = 1"),
    "a number of 100,000 digits": _text("budget = " + "9" * 100_000),
    "a million steps": _bytes(lambda: _steps(1_000_000, '{{id="s{i}",hands="1h"}},').encode()),
    "5,000 steps in a row": _text(_chain(5_000)),
    "300 steps, each after all before": _text(_everything_after_everything(300)),
    "a file of 100 MB": _bytes(lambda: b"# " + b"x" * 100_000_000),
    "a line of 7 MB": _text('title = "' + "x" * 7_000_000 + '"\n' + EPISODE.partition("\n")[2]),
    "bytes that are no UTF-8": _bytes(lambda: EPISODE.encode() + b"\xff\xfe\xc3("),
    "a byte order mark": _bytes(lambda: b"\xef\xbb\xbf" + EPISODE.encode()),
    "CR LF line ends": _text(EPISODE.replace("\n", "\r\n")),
    "a NUL in the middle": _text(EPISODE.replace("Hall", "Ha\0ll")),
    "the year 1": _text("may_start = 0001-01-01\n" + EPISODE),
    "the year 9999": _text("may_start = 9999-12-31\n" + EPISODE),
    "released in the year 9999": _text("release = 9999-12-31\n" + EPISODE),
    "a zone that does not exist": _text(studio=STUDIO.replace("America/Chicago", "Mars/Olympus")),
    "a zone that is a path": _text(studio=STUDIO.replace("America/Chicago", "../../etc/passwd")),
    "ids that differ by case": _text(EPISODE.replace('id = "paint"', 'id = "Paint"')),
    "ids that look alike": _text(EPISODE.replace('id = "paint"', 'id = "pаint"')),
    "an empty file": _text(""),
    "a circle of two steps": _text(
        '[[job]]\nid = "j"\nstep = [\n{ id = "a", hands = "1h", after = ["b"] },\n'
        '{ id = "b", hands = "1h", after = ["a"] },\n]\n'
    ),
    "60 windows that cannot be kept": _in_a_row,
    "hours of one minute a day": _text(
        EPISODE.replace("2h", "400h"),
        STUDIO.replace(
            '{ mon-fri = ["18:00-21:30"], sat-sun = ["09:00-17:00"] }',
            '{ daily = ["12:00-12:01"] }',
        ),
    ),
    "nobody is ever there": _text(studio=STUDIO.replace("[[person]]", "[[person]]\noff = ['2020-01-01..2099-12-31']")),
    "1,000 episodes": _many_episodes,
    "as_of in the year 1": _text(studio=STUDIO.replace("2027-04-14T18:00:00", "0001-01-01T00:00:00")),
    "as_of in the missing hour": _text(studio=STUDIO.replace("2027-04-14T18:00:00", "2027-03-14T02:30:00")),
    "a release inside the missing hour": _text("release = 2028-03-12T02:30:00\n" + EPISODE),
    "a release inside the repeated hour": _text("release = 2027-11-07T01:30:00\n" + EPISODE),
    "a leap day": _text("release = 2028-02-29\n" + EPISODE),
}  # fmt: skip
"""By what is wrong with it, a writer of a season."""

_HEAD = "BEGIN:VCALENDAR\r\nVERSION:2.0\r\nPRODID:-//x//EN\r\n"
_TAIL = "END:VCALENDAR\r\n"


def _event(*lines: str) -> str:
    return "\r\n".join(
        ("BEGIN:VEVENT", "UID:a", "DTSTAMP:20270101T000000Z", *lines, "END:VEVENT", "")
    )


def _rule(rule: str, start: str = "20270401T090000Z") -> str:
    return _event(f"DTSTART:{start}", "DURATION:PT30M", f"RRULE:{rule}")


def _times(count: int) -> str:
    return ",".join(
        f"2027{1 + i % 12:02}{1 + i % 28:02}T{i % 24:02}{i % 60:02}00Z" for i in range(count)
    )


CALENDARS: dict[str, Callable[[], str]] = {
    "every second, without end": lambda: _rule("FREQ=SECONDLY"),
    "every minute, without end": lambda: _rule("FREQ=MINUTELY"),
    "86,400 times a day": lambda: _rule(
        "FREQ=DAILY;BYHOUR=" + ",".join(map(str, range(24))) + ";BYMINUTE="
        + ",".join(map(str, range(60))) + ";BYSECOND=" + ",".join(map(str, range(60)))
    ),
    "an interval of 0": lambda: _rule("FREQ=DAILY;INTERVAL=0"),
    "daily since the year 1": lambda: _rule("FREQ=DAILY", "00010101T000000Z"),
    "a second that never comes": lambda: _rule("FREQ=SECONDLY;BYMONTH=2;BYMONTHDAY=30"),
    "the 30th of February": lambda: _rule("FREQ=YEARLY;BYMONTH=2;BYMONTHDAY=30"),
    "a thousand million hours": lambda: _rule("FREQ=HOURLY;COUNT=1000000000"),
    "100,000 single dates": lambda: _event("DTSTART:20270401T090000Z", "DURATION:PT30M", f"RDATE:{_times(100_000)}"),
    "a length of 100 million days": lambda: _event("DTSTART:20270401T090000Z", "DURATION:P100000000D"),
    "an end before the start": lambda: _event("DTSTART:20270401T090000Z", "DTEND:20260401T090000Z"),
    "a zone nobody knows": lambda: _event("DTSTART;TZID=Mars/Olympus:20270401T090000", "DURATION:PT30M"),
    "30,000 events": lambda: _event("DTSTART:20270401T090000Z", "DURATION:PT30M") * 30_000,
    "2,000 endless rules": lambda: _rule("FREQ=DAILY") * 2_000,
    "no end of the calendar": lambda: _rule("FREQ=DAILY")[:-30],
    "10 MB in one line": lambda: _event("DTSTART:20270401T090000Z", "SUMMARY:" + "x" * 10_000_000),
    "components nested 3,000 deep": lambda: "BEGIN:VEVENT\r\n" * 3_000 + "END:VEVENT\r\n" * 3_000,
    "hourly on every minute": lambda: _rule("FREQ=HOURLY;BYMINUTE=" + ",".join(map(str, range(60)))),
    "100,000 exceptions": lambda: _event("DTSTART:20270401T090000Z", "DURATION:PT30M", "RRULE:FREQ=DAILY", f"EXDATE:{_times(100_000)}"),
    "a rule that is none": lambda: _rule("FREQ=SOMETIMES;BYDAY=XX;COUNT=-5"),
    "escape codes in a title": lambda: _rule("FREQ=MINUTELY").replace("UID:a", "UID:a\r\nSUMMARY:\x1b]0;x\x07\x1b[31m"),
}  # fmt: skip
"""By what is wrong with it, the text of a calendar without its frame."""


def calendar_season(folder: Path, text: str) -> None:
    """A season whose one person keeps that calendar."""
    season(folder, studio=STUDIO + 'busy = ["host.ics"]\n')
    (folder / "host.ics").write_text(_HEAD + text + _TAIL, encoding="utf-8", newline="")


def write_apart(kind: str, name: str, folder: Path) -> None:
    """Write one season of `plan` or `calendar` from a process of its own.

    The peak memory of a command counts what its parent held when it was started, so whoever
    measures must never have held a bomb.
    """
    subprocess.run(
        [sys.executable, "-m", "tests.reliability.bombs", kind, name, str(folder)],
        check=True, timeout=60,
    )  # fmt: skip


if __name__ == "__main__":
    _, kind, name, folder = sys.argv
    if kind == "plan":
        PLANS[name](Path(folder))
    else:
        calendar_season(Path(folder), CALENDARS[name]())
