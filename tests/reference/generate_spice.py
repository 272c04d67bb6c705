"""Rarer things, sprinkled over a season that is already valid.

Each function changes some tables of one episode in place; all keep to the order in which things
were made up, so that nothing comes to wait for itself.
"""

from collections.abc import Callable
from datetime import datetime, timedelta
from pathlib import Path
from random import Random
from typing import Any

Table = dict[str, Any]

PLACES = {
    "America/Chicago": (41.9, -87.6),
    "Europe/Berlin": (52.5, 13.4),
    "Australia/Sydney": (-33.9, 151.2),
}


def spice(random: Random, studio: Table, episodes: dict[str, Table], folder: Path) -> None:
    """A few of the rarer things, by chance."""
    now: datetime = studio["as_of"]
    for episode in episodes.values():
        for change in CHANGES:
            if random.random() < 0.3:
                change(random, now, episode)
    if random.random() < 0.15 and studio["timezone"] in PLACES:
        latitude, longitude = PLACES[studio["timezone"]]
        studio["place"] = {"latitude": latitude, "longitude": longitude}
    if random.random() < 0.3:
        _busy(random, studio, folder)
    if random.random() < 0.2:
        studio.setdefault("defaults", {})["step"] = {"gear": []}
    if random.random() < 0.3:
        # An hour that a spring night skips and an autumn one has twice.
        person = random.choice(studio["person"])
        if "sun" not in person["hours"] and not any("-" in key for key in person["hours"]):
            person["hours"]["sun"] = ["01:30-03:30", "09:00-12:00"]


def _steps(episode: Table, *, last: int = -3) -> list[tuple[Table, Table]]:
    """Open steps of the jobs before the closing ones, with their jobs."""
    return [
        (job, step)
        for job in episode["job"][1:last]
        for step in job["step"]
        if not step.keys() & {"done", "started", "dropped"} and "dropped" not in job
    ]


def before(random: Random, _: datetime, episode: Table) -> None:
    """An earlier job's step says what waits for it."""
    steps = _steps(episode)
    if len(steps) < 4:
        return
    place = random.randrange(len(steps) - 1)
    later = [
        (job, step)
        for job, step in steps[place + 1 :]
        if job is not steps[place][0] and not job.get("optional")
    ]
    if later and not steps[place][0].get("optional"):
        job, step = random.choice(later)
        steps[place][1].setdefault("before", []).append(f"{job['id']}.{step['id']}")


def tables(random: Random, _: datetime, episode: Table) -> None:
    """Entries with gaps, ends and windows between steps of different jobs."""
    steps = [pair for pair in _steps(episode) if not pair[0].get("optional")]
    for _number in range(3):
        if len(steps) < 4:
            return
        place = random.randrange(1, len(steps))
        job, step = steps[place]
        first = [pair for pair in steps[:place] if pair[0] is not job]
        if not first:
            continue
        earlier_job, earlier = random.choice(first)
        entry: Table = {"step": f"{earlier_job['id']}.{earlier['id']}"}
        entry |= random.choice(
            [
                {"gap": "26h"},
                {"from": "start", "gap": "1d"},
                {"to": "finish", "gap": "4h"},
                {"to": "finish"} if "coat" not in earlier else {"gap": "1h"},
                {"from": "start", "to": "finish", "gap": "2d"},
                {"gap": "2h", "within": "12d"},
                {"from": "start", "within": "15d"},
                {"within": "5h", "or_after": "2d"},
                {"to": "finish", "within": "16d"},
            ]
        )
        if "coat" in earlier and random.random() < 0.3:
            entry = {"step": entry["step"], "stage": random.choice(["touch", "recoat", "cure"])}
        step.setdefault("also_after", []).append(entry)


def surfaces(random: Random, _: datetime, episode: Table) -> None:
    """Two surfaces of one job, coat after coat."""
    for job in episode["job"]:
        coats = [step for step in job["step"] if "coat" in step]
        plain = all("opens_window" not in step for step in job["step"])
        if len(coats) >= 3 and plain and not any("done" in step for step in coats):
            for number, step in enumerate(coats):
                step["surface"] = ("top", "legs")[number % 2]
            return


def slow_coat(random: Random, _: datetime, episode: Table) -> None:
    """A coat that may pause."""
    coats = [step for _, step in _steps(episode) if "coat" in step]
    if coats:
        random.choice(coats)["one_go"] = False


def failed(random: Random, now: datetime, episode: Table) -> None:
    """Work that was done and does not count."""
    done = [step for job in episode["job"] for step in job["step"] if "done" in step]
    if done and "coat" not in done[-1]:
        done[-1]["failed"] = (now - timedelta(hours=1)).date()


def lost(random: Random, now: datetime, episode: Table) -> None:
    """A shot lost, and another that covers it."""
    shots = [shot for shot in episode.get("shot", []) if "taken" in shot]
    if shots:
        shots[0]["lost"] = (now - timedelta(days=1)).date()
        cover = {"id": "cover", "covers": shots[0]["id"], "hands": "25min", "gear": ["camera"]}
        episode["shot"].append(cover)


def asked_for(random: Random, _: datetime, episode: Table) -> None:
    """Parcels that only a fallback uses, and the fallback."""
    episode.setdefault("parcel", []).append(
        {"id": "ready-made", "lead": "2 workdays", "fallback_only": True, "cost": 300}
    )
    job, step = episode["job"][-1], episode["job"][-1]["step"][0]
    step.setdefault("also_after", []).append("ready-made")
    episode["fallback"] = [
        {"id": "buy-it", "cost": 50, "loses": 2, "use": ["ready-made"], "drop": [job["id"]]}
    ]


def wants(random: Random, _: datetime, episode: Table) -> None:
    """An optional parcel that a required step waits for; an optional shot."""
    parcels = [parcel for parcel in episode.get("parcel", []) if "fallback_only" not in parcel]
    if parcels and random.random() < 0.5:
        random.choice(parcels)["optional"] = True
    shots = [
        shot
        for shot in episode.get("shot", [])
        if "taken" not in shot and not shot.get("once") and shot.get("when") != "during"
    ]
    if shots and random.random() < 0.5:
        shots[-1]["optional"] = True


def job_defaults(random: Random, _: datetime, episode: Table) -> None:
    """What a job says for its steps."""
    job = random.choice(episode["job"][1:-2] or episode["job"])
    if "where" not in job or any("done" in step for step in job["step"]):
        return
    job["makes"] = ["noise"] if job["where"] != "snug" else []
    filmed = {shot.get("of", "").split(".")[0] for shot in episode.get("shot", [])}
    plain = job["id"] not in filmed and not any("wait" in step for step in job["step"])
    if random.random() < 0.3 and plain:
        job["gear"] = ["camera"]


def perishable(random: Random, _: datetime, episode: Table) -> None:
    """Something that must be used soon after it comes."""
    for job, step in _steps(episode):
        for place, item in enumerate(step.get("after", [])):
            if isinstance(item, str) and item.startswith("parcel-") and not job.get("optional"):
                parcel = next(p for p in episode["parcel"] if p["id"] == item)
                if not parcel.keys() & {"ordered", "failed"}:
                    step["after"][place] = {"step": item, "within": "12d"}
                    return


def fixed(random: Random, now: datetime, episode: Table) -> None:
    """A visit of the host at a given hour, and the wait after it."""
    moment = (now + timedelta(days=random.randint(8, 20))).replace(hour=10, minute=15)
    episode["job"].insert(
        1,
        {
            "id": "visit",
            "where": "workshop",
            "step": [
                {"id": "think", "wait": "2d", "at": moment},
                {"id": "decide", "hands": "20min", "not_before": moment.date()},
            ],
        },
    )


CHANGES: list[Callable[[Random, datetime, Table], None]] = [
    before,
    tables,
    tables,
    surfaces,
    slow_coat,
    failed,
    lost,
    asked_for,
    wants,
    job_defaults,
    perishable,
    fixed,
]


def _busy(random: Random, studio: Table, folder: Path) -> None:
    """A busy calendar with single events in UTC."""
    now: datetime = studio["as_of"]
    lines = ["BEGIN:VCALENDAR", "VERSION:2.0", "PRODID:-//generated//EN"]
    for number in range(random.randint(1, 6)):
        start = now + timedelta(days=random.randint(0, 30), minutes=random.randint(0, 1000))
        end = start + timedelta(minutes=random.randint(30, 400))
        lines += ["BEGIN:VEVENT", f"UID:{number}@example.invalid", "DTSTAMP:20260101T000000Z"]
        lines += [f"DTSTART:{start:%Y%m%dT%H%M%S}Z", f"DTEND:{end:%Y%m%dT%H%M%S}Z", "END:VEVENT"]
    lines += ["END:VCALENDAR", ""]
    (folder / "busy.ics").write_bytes("\r\n".join(lines).encode())
    random.choice(studio["person"])["busy"] = ["busy.ics"]
