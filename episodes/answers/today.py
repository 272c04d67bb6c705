"""Tonight: what the plan puts into today's open hours, and what must be filmed before it."""

from dataclasses import dataclass

from episodes.amounts import MINUTES_A_DAY
from episodes.answers.orders import orders
from episodes.answers.rows import CheckAnswer, StepRow
from episodes.answers.shots import ShotLine, shots
from episodes.calendars.local_time import zone
from episodes.model.season import Season


@dataclass(frozen=True, slots=True, kw_only=True)
class Do:
    """Work of today. `hands_min` of it falls into today; `latest` is its last start that still
    meets the release; `film_first` are shots still open that must come before it."""

    episode: str
    id: str
    title: str
    who: tuple[str, ...]
    from_: int
    to: int
    hands_min: int
    critical: bool
    latest: int | None
    film_first: tuple[str, ...]
    kind: str = "hands"
    where: str | None = None
    cautions: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class OrderBy:
    episode: str
    id: str
    title: str
    by: int | None


@dataclass(frozen=True, slots=True)
class AtRisk:
    """A once-only shot whose chance ends within the coming week."""

    episode: str
    shot: str
    title: str
    before: int


@dataclass(frozen=True, slots=True)
class Running:
    episode: str
    id: str
    title: str
    until: int


@dataclass(frozen=True, slots=True, kw_only=True)
class TodayAnswer:
    now: int
    zone: str
    read_as_of: bool
    do: tuple[Do, ...]
    order: tuple[OrderBy, ...]
    at_risk: tuple[AtRisk, ...]
    running: tuple[Running, ...]


WEEK = 7 * MINUTES_A_DAY


def today(
    answer: CheckAnswer, season: Season, *, person: str | None = None, hours: int | None = None
) -> TodayAnswer:
    """What to do today.

    Args:
        person: only this one's work.
        hours: minutes there are; the list ends once they are filled (at least one entry stays).
    """
    now = answer.now
    local = zone(answer.zone)
    midnight = local.utc(local.day(now), MINUTES_A_DAY)
    lines = shots(answer, season)
    do = _work(answer, lines, now, midnight, person)
    if hours is not None:
        kept: list[Do] = []
        left = hours
        for entry in do:
            if kept and entry.hands_min > left:
                continue
            kept.append(entry)
            left -= entry.hands_min
        do = kept
    return TodayAnswer(
        now=now,
        zone=answer.zone,
        read_as_of=answer.read_as_of,
        do=tuple(do),
        order=tuple(
            OrderBy(line.episode, line.row.id, line.row.title, line.row.order_by)
            for line in orders(answer)
            if line.row.state == "open"
            and (
                line.too_late or (line.row.order_by is not None and line.row.order_by <= now + WEEK)
            )
        ),
        at_risk=tuple(
            AtRisk(line.episode, line.row.id, line.row.title, line.gone_after)
            for line in sorted(lines, key=lambda one: (one.gone_after or 0, one.row.id))
            if line.gone_after is not None and line.gone_after <= now + WEEK
        ),
        running=tuple(
            Running(row.episode, row.id, row.title, row.finish)
            for row in sorted(_rows(answer), key=lambda r: (r.finish or 0, r.id))
            if row.kind in ("dry", "wait") and row.state == "started" and row.finish is not None
        ),
    )


def _rows(answer: CheckAnswer) -> list[StepRow]:
    return [row for episode in answer.episodes for row in episode.steps]


def _work(
    answer: CheckAnswer, lines: tuple[ShotLine, ...], now: int, midnight: int, person: str | None
) -> list[Do]:
    open_shots = [line for line in lines if line.row.state == "open" and line.ended_by is not None]
    found: list[Do] = []
    for row in _rows(answer):
        if row.kind not in ("hands", "shot") or row.state in ("done", "dropped"):
            continue
        if person is not None and person not in row.who:
            continue
        pieces = [(max(a, now), min(b, midnight)) for a, b in row.sessions]
        pieces = [(a, b) for a, b in pieces if a < b]
        if not pieces:
            continue
        found.append(
            Do(
                episode=row.episode,
                id=row.id,
                title=row.title,
                who=row.who,
                from_=pieces[0][0],
                to=pieces[-1][1],
                hands_min=sum(b - a for a, b in pieces),
                critical=row.critical,
                latest=row.late_start,
                film_first=tuple(
                    line.row.id
                    for line in open_shots
                    if line.ended_by == row.id and line.episode == row.episode
                ),
                kind=row.kind,
                where=row.where,
                cautions=row.cautions,
            )
        )
    found.sort(key=lambda entry: (entry.from_, entry.to, entry.id))
    return found
