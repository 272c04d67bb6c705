"""What has happened in a made-up episode: done, begun, taken and given up."""

from datetime import datetime, timedelta
from random import Random
from typing import Any

Table = dict[str, Any]


def happened(
    random: Random, now: datetime, jobs: list[Table], shots: list[Table], parcels: list[Table]
) -> None:
    """The first jobs are done, the next step is begun."""
    moment = now - timedelta(days=9)
    for shot in shots[:1]:
        if shot["when"] == "before":
            shot["taken"] = moment
            if random.random() < 0.6:
                shot["backed_up"] = True
    done = jobs[0]["step"]
    if len(jobs) > 5 and random.random() < 0.6:
        done = done + _until_wait(random, jobs[1], shots, parcels)
    for step in done:
        moment += timedelta(hours=random.randint(2, 12))
        if moment >= now:
            break
        step["done"] = moment if random.random() < 0.7 else moment.date()
        if random.random() < 0.2 and "hands" in step:
            step["started"] = moment - timedelta(minutes=50)
            step["done"] = moment
    begun = [job["step"][0] for job in jobs[2:5] if "hands" in job["step"][0]]
    if begun and random.random() < 0.6 and not isinstance(begun[0].get("who"), dict):
        begun[0]["started"] = now - timedelta(minutes=random.randint(5, 90))
        if random.random() < 0.5:
            begun[0]["left"] = "40min"


def _until_wait(
    random: Random, job: Table, shots: list[Table], parcels: list[Table]
) -> list[Table]:
    shown = {shot.get("of", "").split(".")[0] for shot in shots}
    if job["id"] in shown or "after" in job or any("before" in s for s in job["step"]):
        return []
    steps = []
    for step in job["step"]:
        if "wait" in step or step.get("gear"):
            break
        steps.append(step)
    for parcel in parcels:
        if any(parcel["id"] in step.get("after", []) for step in steps):
            return []
    return steps[: random.randint(0, len(steps))]


def given_up(random: Random, now: datetime, jobs: list[Table], shots: list[Table]) -> None:
    """A step in the middle is given up."""
    if not random.random() < 0.2:
        return
    for job in jobs[2:]:
        plain = [
            step
            for step in job["step"][1:-1]
            if "hands" in step
            and "done" not in step
            and "coat" not in step
            and "started" not in step
            and step["id"] in ("sand", "s2", "scuff-1")
        ]
        shown = {shot.get("of") for shot in shots}
        if plain and f"{job['id']}.{plain[0]['id']}" not in shown:
            plain[0]["dropped"] = (now - timedelta(days=1)).date()
            return
