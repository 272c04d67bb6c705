"""The tables that `table`, `costs` and `links` write: the columns of each, and what stands there.

Names of columns are those of the JSON answers wherever the figure is the same one. How moments are
written is the caller's to say: `moments` gives the studio's clock without an offset, since that is
what spreadsheets read as a date.
"""

from collections.abc import Callable, Sequence
from typing import TYPE_CHECKING

from episodes.answers.rows import CheckAnswer, StepRow
from episodes.calendars.local_time import zone
from episodes.exports.cells import Cell, Table

if TYPE_CHECKING:
    from episodes.answers.costs import CostsAnswer
    from episodes.answers.links import LinksAnswer
    from episodes.answers.shots import ShotLine

Moment = Callable[[int | None], str | None]


def moments(zone_name: str) -> Moment:
    """A function from UTC minutes to `2027-04-15 18:00` in that zone; None stays None."""
    here = zone(zone_name)

    def moment(minute: int | None) -> str | None:
        return None if minute is None else here.local(minute).strftime("%Y-%m-%d %H:%M")

    return moment


def steps_table(answer: CheckAnswer, moment: Moment) -> Table:
    """Steps, waits and drying of every room, by release, then start."""
    rows = [
        _step(row, dict(episode.jobs), answer, moment)
        for episode in answer.episodes
        for row in episode.steps
        if row.kind in ("hands", "wait", "dry")
    ]
    return Table(
        columns=(
            "episode", "id", "job", "title", "kind", "state", "start", "finish", "who", "where",
            "work_min", "early_start", "early_finish", "late_start", "late_finish", "slack_min",
            "slack_work_min", "critical", "optional", "because", "note", "link",
        ),
        rows=tuple(rows),
    )  # fmt: skip


def _step(
    row: StepRow, jobs: dict[str, str], answer: CheckAnswer, moment: Moment
) -> tuple[Cell, ...]:
    because = row.because
    return (
        row.episode,
        row.id,
        jobs.get(row.job, row.job),
        row.title,
        row.kind,
        row.state,
        moment(row.start),
        moment(row.finish),
        _people(row, answer),
        _where(row, answer),
        row.work_min,
        moment(row.early_start),
        moment(row.early_finish),
        moment(row.late_start),
        moment(row.late_finish),
        row.slack_min,
        row.slack_work_min,
        row.critical,
        row.optional,
        None if because is None else " ".join(filter(None, (because.kind, because.id))),
        row.note,
        row.link,
    )


def _people(row: StepRow, answer: CheckAnswer) -> str:
    return ", ".join(answer.people.get(person, person) for person in row.who)


def _where(row: StepRow, answer: CheckAnswer) -> str:
    return "" if row.where is None else answer.spaces.get(row.where, row.where)


def parcels_table(answer: CheckAnswer, moment: Moment) -> Table:
    """Every parcel of every room, in the files' order."""
    return Table(
        columns=(
            "episode", "id", "title", "kind", "state", "carrier", "order_by", "ordered",
            "promised", "arrives", "latest_arrival", "latest_exact", "arrived", "failed",
            "return_by", "returned", "cost", "optional", "link",
        ),
        rows=tuple(
            (
                row.episode,
                row.id,
                row.title,
                row.kind,
                row.state,
                row.carrier,
                moment(row.order_by),
                moment(row.ordered),
                moment(row.promised),
                moment(row.arrives),
                moment(row.latest_arrival),
                row.latest_exact,
                moment(row.arrived),
                row.failed,
                moment(row.return_by),
                moment(row.returned),
                row.cost,
                row.optional,
                row.link,
            )
            for episode in answer.episodes
            for row in episode.parcels
        ),
    )  # fmt: skip


def shots_table(lines: "Sequence[ShotLine]", answer: CheckAnswer, moment: Moment) -> Table:
    """Every shot of every room that is not out, in the order of `shots`."""
    return Table(
        columns=(
            "episode", "id", "title", "of", "state", "start", "finish", "who", "where", "light",
            "once", "gone_after", "ended_by", "taken", "backed_up", "lost", "optional", "note",
        ),
        rows=tuple(
            (
                line.episode,
                row.id,
                row.title,
                row.of,
                row.state,
                moment(row.start),
                moment(row.finish),
                _people(row, answer),
                _where(row, answer),
                row.light,
                row.once,
                moment(line.gone_after),
                line.ended_by,
                line.taken,
                line.backed_up,
                line.lost,
                row.optional,
                row.note,
            )
            for line in lines
            for row in [line.row]
        ),
    )  # fmt: skip


def money_table(answer: "CostsAnswer") -> Table:
    """Everything that costs money or brings some, room by room, in the files' order."""
    return Table(
        columns=(
            "episode", "kind", "id", "title", "job", "state", "cost", "paid", "refunded",
            "planned", "currency",
        ),
        rows=tuple(
            (
                line.episode,
                line.kind,
                line.id,
                line.title,
                line.job_title,
                line.state,
                line.cost,
                line.paid,
                line.refunded,
                line.planned,
                answer.currency,
            )
            for episode in answer.episodes
            for line in episode.lines
        ),
    )  # fmt: skip


def links_table(answer: "LinksAnswer", *, prices: bool = True) -> Table:
    """The links of every room, and what the things cost."""
    columns = ("episode", "id", "title", "link")
    return Table(
        columns=(*columns, "price", "currency") if prices else columns,
        rows=tuple(
            (
                (line.episode, line.id, line.title, line.link, line.price, answer.currency)
                if prices
                else (line.episode, line.id, line.title, line.link)
            )
            for episode in answer.episodes
            for line in episode.lines
        ),
    )
