"""Calendar files made to hang or fill whoever reads them, by name.

Each holds an event `Good` beside the bomb, unless the whole file is the bomb.
"""

from collections.abc import Callable

GOOD = "BEGIN:VEVENT\nUID:good\nSUMMARY:Good\nDTSTART:20270405T150000Z\nDTEND:20270405T160000Z\n"
GOOD += "END:VEVENT\n"
TIMES = "DTSTART:20270404T150000Z\nDTEND:20270404T150100Z\n"
DATES = ",".join(
    f"2027{1 + day // 28 % 12:02d}{1 + day % 28:02d}T150000Z" for day in range(100_000)
)


def _calendar(*parts: str) -> str:
    return f"BEGIN:VCALENDAR\nVERSION:2.0\nPRODID:-//x//EN\n{''.join(parts)}END:VCALENDAR\n"


def _event(lines: str, uid: str = "bad", title: str = "Bad") -> str:
    return f"BEGIN:VEVENT\nUID:{uid}\nSUMMARY:{title}\n{lines}END:VEVENT\n"


def _rule(rule: str, times: str = TIMES) -> Callable[[], str]:
    return lambda: _calendar(_event(f"{times}RRULE:{rule}\n"), GOOD)


def _many(count: int, rule: str) -> Callable[[], str]:
    return lambda: _calendar(
        *(_event(f"{TIMES}RRULE:{rule}\n", uid=f"bad{number}") for number in range(count)), GOOD
    )


def _times(lines: str) -> Callable[[], str]:
    return lambda: _calendar(_event(lines), GOOD)


def _moved(count: int) -> str:
    series = _event(f"{TIMES}RRULE:FREQ=DAILY\n")
    moved = (
        _event(
            f"RECURRENCE-ID;RANGE=THISANDFUTURE:2027{4 + day // 28:02d}{1 + day % 28:02d}T150000Z\n"
            f"DTSTART:2027{4 + day // 28:02d}{1 + day % 28:02d}T160000Z\nDURATION:PT1H\n"
        )
        for day in range(count)
    )
    return _calendar(series, *moved, GOOD)


def _zone(rule: str) -> str:
    zone = "BEGIN:VTIMEZONE\nTZID:Made up\nBEGIN:STANDARD\nDTSTART:19700101T000000\n"
    zone += f"TZOFFSETFROM:+0300\nTZOFFSETTO:+0300\nRRULE:{rule}\nEND:STANDARD\nEND:VTIMEZONE\n"
    bad = _event("DTSTART;TZID=Made up:20270405T180000\nDURATION:PT1H\n")
    return _calendar(zone, bad, GOOD)


ALL_HOURS = ",".join(map(str, range(24)))
ALL_MINUTES = ",".join(map(str, range(60)))

BOMBS: dict[str, Callable[[], str]] = {
    "every second": _rule("FREQ=SECONDLY"),
    "every minute": _rule("FREQ=MINUTELY"),
    "every second of 30 February": _rule("FREQ=SECONDLY;BYMONTH=2;BYMONTHDAY=30"),
    "86,400 a day": _rule(
        f"FREQ=DAILY;BYHOUR={ALL_HOURS};BYMINUTE={ALL_MINUTES};BYSECOND={ALL_MINUTES}"
    ),
    "1,440 a day": _rule(f"FREQ=DAILY;BYHOUR={ALL_HOURS};BYMINUTE={ALL_MINUTES}"),
    "an interval of nothing": _rule("FREQ=DAILY;INTERVAL=0"),
    "daily since the year 1": _rule(
        "FREQ=DAILY", "DTSTART:00010101T150000Z\nDTEND:00010101T160000Z\n"
    ),
    "hourly a billion times": _rule("FREQ=HOURLY;COUNT=1000000000"),
    "a length of 100,000,000 days": _times("DTSTART:20270404T150000Z\nDURATION:P100000000D\n"),
    "an event of 7,000 years": _times("DTSTART:20270404T150000Z\nDTEND:90270404T150000Z\n"),
    "100,000 dates": _times(f"{TIMES}RDATE:{DATES}\n"),
    "100,000 exceptions": _times(f"{TIMES}RRULE:FREQ=DAILY\nEXDATE:{DATES}\n"),
    "10,000 rules in one event": _times(TIMES + "RRULE:FREQ=DAILY\n" * 10_000),
    "a thousand rules that never come true": _many(1_000, "FREQ=MONTHLY;BYMONTH=2;BYMONTHDAY=30"),
    "a thousand hourly events": _many(1_000, "FREQ=HOURLY"),
    "100 changes of all that follows": lambda: _moved(100),
    "a zone that changes every second": lambda: _zone("FREQ=SECONDLY"),
    "a title of 7 MiB": lambda: _calendar(
        _event(f"{TIMES}RRULE:FREQ=MINUTELY\n", title="Bad " + "x" * 7 * 1024 * 1024), GOOD
    ),
    "a million folds": lambda: _calendar(
        _event(f"{TIMES}RRULE:FREQ=MINUTELY\nRDATE:2027\n" + " 0\n" * 1_000_000), GOOD
    ),
    "20,000 events inside one another": lambda: _calendar(
        "BEGIN:VEVENT\n" * 20_000 + "END:VEVENT\n" * 20_000, GOOD
    ),
    "100,000 periods": lambda: _calendar(
        "BEGIN:VFREEBUSY\nSUMMARY:Bad\n"
        + "FREEBUSY:20270405T150000Z/PT1H\n" * 100_000
        + "END:VFREEBUSY\n",
        GOOD,
    ),
    "more events than are read": lambda: _calendar(_event(TIMES) * 25_000),
    "more bytes than are read": lambda: _calendar(_event(f"{TIMES}X-A:{'x' * 9 * 1024 * 1024}\n")),
}

ANSWERED = {"hourly a billion times", "100 changes of all that follows"}
"""These only look like bombs: bounded by the time looked at, they are read as they are meant."""

WHOLE_FILE = {"more events than are read", "more bytes than are read"}
"""These are refused as a whole."""
