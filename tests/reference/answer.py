"""The answer of `check --json` in minutes, and the form it must have."""

from dataclasses import dataclass
from datetime import datetime
from typing import Any

from tests.reference.clock import utc_minute

Table = dict[str, Any]

EPISODE_KEYS = [
    "id",
    "title",
    "release",
    "verdict",
    "proved",
    "ready_by",
    "ready_floor",
    "spare_min",
    "room_by",
    "steps",
    "parcels",
    "money",
    "problems",
]
STEP_KEYS = [
    "id",
    "kind",
    "state",
    "critical",
    "early_start",
    "early_finish",
    "late_start",
    "late_finish",
    "slack_min",
    "slack_work_min",
    "start",
    "finish",
    "sessions",
    "who",
    "where",
    "because",
]
PARCEL_KEYS = [
    "id",
    "state",
    "order_by",
    "arrives",
    "latest_arrival",
    "latest_exact",
    "return_by",
    "cost",
]
KINDS = {"hands", "wait", "dry", "parcel", "shot", "release"}
STATES = {"open", "started", "done", "dropped"}
CAUSES = {
    *("step", "parcel", "person", "space", "gear", "air"),
    *("light", "hours", "window", "now", "bound"),
}
LEVELS = {"error", "warning", "note"}
INSTANTS = ["early_start", "early_finish", "late_start", "late_finish", "start", "finish"]


@dataclass(frozen=True)
class Fault:
    """Something in an answer that the contract does not allow.

    `doubt` marks what the contract's words leave open: worth a look, no verdict.
    """

    rule: str
    where: str
    text: str
    doubt: bool = False

    def __str__(self) -> str:
        return f"{'?' if self.doubt else ''}{self.rule}: {self.where}: {self.text}"


def minute(text: str | None) -> int | None:
    """An instant of the answer in UTC minutes."""
    return None if text is None else utc_minute(datetime.fromisoformat(text), up=True)


@dataclass
class Row:
    """A step row in minutes."""

    episode: str
    table: Table

    def __getattr__(self, name: str) -> Any:
        value = self.table[name]
        return minute(value) if name in INSTANTS else value

    @property
    def sessions(self) -> list[tuple[int, int]]:
        return [(minute(one) or 0, minute(two) or 0) for one, two in self.table["sessions"]]


def rows(answer: Table) -> dict[tuple[str, str], Row]:
    return {
        (episode["id"], step["id"]): Row(episode["id"], step)
        for episode in answer["episodes"]
        for step in episode["steps"]
    }


def form(answer: Table, zone: Any) -> list[Fault]:
    """Keys, kinds, offsets and the order of rows."""
    faults: list[Fault] = []

    def keys(table: Table, wanted: list[str], where: str) -> None:
        present = [key for key in table if key in wanted]
        if missing := [key for key in wanted if key not in table]:
            faults.append(Fault("keys", where, f"missing {missing}"))
        elif present != wanted:
            faults.append(Fault("key-order", where, f"{present}", doubt=True))

    def instants(value: Any, where: str) -> None:
        if isinstance(value, str) and len(value) > 18 and value[10:11] == "T":
            moment = datetime.fromisoformat(value)
            local = moment.astimezone(zone)
            if moment.tzinfo is None or moment.utcoffset() != local.utcoffset():
                faults.append(Fault("offset", where, value))

    keys(answer, ["format", "now", "episodes"], "answer")
    order = [(minute(episode["release"]), episode["id"]) for episode in answer["episodes"]]
    if order != sorted(order):
        faults.append(Fault("episode-order", "answer", str(order)))
    for episode in answer["episodes"]:
        where = episode["id"]
        keys(episode, EPISODE_KEYS, where)
        for name, value in episode.items():
            instants(value, f"{where}.{name}")
        placed = [
            (row["start"] is None, minute(row["start"]) or 0, row["id"]) for row in episode["steps"]
        ]
        if placed != sorted(placed):
            faults.append(Fault("row-order", where, "not by start, then id"))
        ids = [row["id"] for row in episode["steps"]]
        if len(ids) != len(set(ids)):
            faults.append(Fault("row-ids", where, "an id twice"))
        for row in episode["steps"]:
            at = f"{where}:{row['id']}"
            keys(row, STEP_KEYS, at)
            for name, value in row.items():
                instants(value, f"{at}.{name}")
            if row["kind"] not in KINDS or row["state"] not in STATES:
                faults.append(Fault("vocabulary", at, f"{row['kind']} {row['state']}"))
            because = row["because"]
            if because is not None and (
                because.get("kind") not in CAUSES or set(because) != {"kind", "id"}
            ):
                faults.append(Fault("because", at, str(because)))
            for name in ("slack_min", "slack_work_min"):
                if not isinstance(row[name], int | None):
                    faults.append(Fault("integers", at, f"{name} {row[name]!r}"))
        for parcel in episode["parcels"]:
            keys(parcel, PARCEL_KEYS, f"{where}:{parcel['id']}")
            for name, value in parcel.items():
                instants(value, f"{where}:{parcel['id']}.{name}")
        keys(episode["money"], ["budget", "planned", "paid", "left"], f"{where}.money")
        for problem in episode["problems"]:
            keys(problem, ["level", "code", "where", "text"], f"{where}.problems")
            if problem["level"] not in LEVELS:
                faults.append(Fault("vocabulary", where, problem["level"]))
    return faults
