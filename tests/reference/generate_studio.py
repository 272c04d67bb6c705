"""A random studio: people, spaces, gear and carriers, always with enough open hours to plan in."""

from datetime import date, datetime, time, timedelta
from random import Random
from typing import Any

Table = dict[str, Any]

ZONES = [
    ("America/Chicago", "US"),
    ("Europe/Berlin", "DE"),
    ("Australia/Sydney", "AU-NSW"),
    ("America/St_Johns", "CA"),
    ("Asia/Kolkata", None),
    ("UTC", None),
]
HOURS: dict[str, list[Table]] = {
    "host": [
        {"mon-wed": ["19:30-22:00"], "thu-fri": ["09:00-14:00"], "sat": ["09:00-17:00"]},
        {"mon-fri": ["09:00-12:00", "13:00-17:30"], "sun": ["13:00-18:00"]},
        {"daily": ["10:00-16:00"], "sat": ["08:30-12:15", "12:15-17:00"]},
    ],
    "builder": [
        {"mon-thu": ["18:00-21:30"], "sat-sun": ["09:00-17:00"]},
        {"fri-mon": ["08:00-16:30"]},
        {"mon-fri": ["18:00-21:30"], "sat": ["22:00-02:00", "09:00-17:00"]},
    ],
    "helper": [{"sat": ["10:00-15:00"], "wed": ["17:30-20:30"]}, {"sat-sun": ["10:00-16:00"]}],
    "editor": [{"daily": ["20:00-24:00"]}, {"mon-fri": ["08:00-12:00"], "sun": ["01:00-05:00"]}],
}
NOWS = [
    datetime(2027, 2, 26, 8, 0),
    datetime(2027, 3, 10, 21, 17),
    datetime(2027, 5, 3, 12, 0),
    datetime(2027, 9, 14, 6, 30),
    datetime(2027, 10, 20, 19, 5),
    datetime(2026, 12, 1, 10, 0),
]


def studio(random: Random) -> Table:
    """A studio with `as_of`, so that its answers need no clock."""
    zone, country = random.choice(ZONES)
    now = random.choice(NOWS)
    rule: Table = {"on": random.choice(["first friday"] * 3 + ["last sunday", "second tuesday"])}
    if random.random() < 0.5:
        rule["at"] = random.choice([time(9, 0), time(18, 30)])
    table: Table = {
        "name": "Generated rooms",
        "timezone": zone,
        "release": rule,
        "as_of": now,
        "currency": "EUR",
    }
    if country and random.random() < 0.6:
        table["holidays"] = country
    if random.random() < 0.4:
        table["cushion"] = random.choice(["2d", "12h", "1w"])
    people = ["host", "builder", *random.sample(["helper", "editor"], random.randint(0, 2))]
    table["person"] = [_person(random, id, now.date()) for id in people]
    table["space"] = _spaces(random)
    table["gear"] = [{"id": "camera"}, {"id": "clamps", "count": 8}]
    if random.random() < 0.6:
        table["gear"].append({"id": "sander", "count": random.randint(1, 2)})
    table["carrier"] = _carriers(random, now.date())
    if random.random() < 0.3:
        table["defaults"] = {"shot": {"who": ["host"], "gear": ["camera"]}}
    return table


def _person(random: Random, id: str, day: date) -> Table:
    person: Table = {"id": id, "hours": random.choice(HOURS[id])}
    if random.random() < 0.4:
        person["keeps_holidays"] = True
    off, extra = [], []
    if random.random() < 0.6:
        first = day + timedelta(days=random.randint(1, 40))
        off.append(f"{first}..{first + timedelta(days=random.randint(0, 6))}")
    if random.random() < 0.4:
        off.append(str(day + timedelta(days=random.randint(1, 30))))
    if random.random() < 0.3:
        off.append(f"{day + timedelta(days=random.randint(1, 20))} 10:00-20:15")
    if random.random() < 0.4:
        extra.append(f"{day + timedelta(days=random.randint(1, 40))} 07:00-11:20")
    if random.random() < 0.2:
        extra.append(f"{day + timedelta(days=random.randint(1, 40))} 21:00-01:30")
    if off:
        person["off"] = off
    if extra:
        person["extra"] = extra
    return person


def _spaces(random: Random) -> list[Table]:
    workshop: Table = {"id": "workshop", "hours": {"daily": ["08:00-22:00"]}}
    if random.random() < 0.7:
        workshop["holds"] = random.randint(1, 3)
    if random.random() < 0.5:
        workshop["noise_hours"] = {"daily": ["08:30-20:00"], "sun": ["10:00-16:00"]}
    if random.random() < 0.6:
        workshop["air"] = {"celsius": random.choice([14, 17, 19]), "humidity": 60}
    if random.random() < 0.4:
        workshop["air_by_month"] = {
            "11-03": {"celsius": random.choice([8, 13]), "humidity": 70},
            "05": {"celsius": 18.5},
        }
    if random.random() < 0.5:
        workshop["lingers"] = {"dust": "1h", "fumes": random.choice(["2h", "4h"])}
    room: Table = {"id": "room"}
    if random.random() < 0.5:
        room["hours"] = {"mon-sat": ["07:00-22:00"], "sun": ["09:00-19:00"]}
    if random.random() < 0.5:
        room["holds"] = random.randint(1, 3)
    if random.random() < 0.4:
        room["air"] = {"fahrenheit": random.choice([66, 72]), "humidity": random.choice([40, 55])}
    if random.random() < 0.3:
        room["lingers"] = {"dust": "90min"}
    snug: Table = {"id": "snug", "holds": random.randint(1, 2)}
    if random.random() < 0.6:
        snug["hears"] = ["workshop"]
    if random.random() < 0.5:
        room["shares_air_with"] = [random.choice(["workshop", "snug"])]
    if random.random() < 0.3:
        snug["hours"] = {"daily": ["00:00-24:00"], "mon": ["06:00-23:00"]}
    return [workshop, room, snug]


def _carriers(random: Random, day: date) -> list[Table]:
    post: Table = {"id": "post", "days": "mon-sat"}
    if random.random() < 0.6:
        post["cutoff"] = time(14, 0)
    if random.random() < 0.3:
        post["off"] = [str(day + timedelta(days=random.randint(1, 30)))]
    freight: Table = {"id": "freight", "days": random.choice(["mon-fri", "tue", "wed-thu"])}
    freight["cutoff"], freight["arrives_at"] = time(12, 0), time(17, 0)
    if random.random() < 0.3:
        freight["keeps_holidays"] = False
    return [post, freight, {"id": "pickup", "days": "mon-sat", "arrives_at": time(19, 0)}]
