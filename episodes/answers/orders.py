"""What must be ordered, by when, and what is on its way."""

from dataclasses import dataclass, replace

from episodes.answers.odds import OddsAnswer
from episodes.answers.rows import CheckAnswer, ParcelRow


@dataclass(frozen=True, slots=True, kw_only=True)
class OrderLine:
    """One parcel still to come or to order, or to send back. UTC minutes.

    Attributes:
        too_late: no arrival from now on would meet its release, and it is this parcel that is
            late; where the room slips for another reason, nothing is said of this one.
        give_min: how much later than planned it may come, None where unknown.
        sure_by: where it is asked for: last moment to order it and be in time so often, None
            where no moment is.
        sure_cap: the share that is in time however early it comes; None where nothing was asked.
    """

    episode: str
    episode_title: str
    row: ParcelRow
    too_late: bool
    give_min: int | None
    sure_by: int | None = None
    sure_cap: float | None = None


def orders(answer: CheckAnswer) -> tuple[OrderLine, ...]:
    """Parcels to order by their last moment, then those on their way by arrival, then returns."""
    lines: list[OrderLine] = []
    for episode in answer.episodes:
        if episode.verdict == "released":
            continue
        for row in episode.parcels:
            if row.state == "dropped":
                continue
            waiting = row.arrived is None or row.failed is not None
            if not waiting and row.return_by is None:
                continue
            give = (
                None
                if row.latest_arrival is None or row.arrives is None
                else row.latest_arrival - row.arrives
            )
            slack = episode.step(row.id).slack_min
            late = (
                waiting
                and not row.optional
                and row.latest_arrival is None
                and (episode.verdict == "meets" or (slack is not None and slack < 0))
            )
            lines.append(
                OrderLine(
                    episode=episode.id,
                    episode_title=episode.title,
                    row=row,
                    too_late=late,
                    give_min=give,
                )
            )
    lines.sort(key=lambda line: (_place(line), line.episode, line.row.id))
    return tuple(lines)


def to_be_sure(
    lines: tuple[OrderLine, ...], answer: OddsAnswer, share: int
) -> tuple[OrderLine, ...]:
    """The same lines, what is still to order with its moment for `share` in the hundred."""
    known = {(episode.id, p.id): p for episode in answer.episodes for p in episode.parcels}

    def sure(line: OrderLine) -> OrderLine:
        parcel = known.get((line.episode, line.row.id))
        if parcel is None or line.row.state != "open":
            return line
        return replace(line, sure_by=parcel.order_by.get(share), sure_cap=parcel.cap)

    return tuple(map(sure, lines))


def _place(line: OrderLine) -> tuple[int, int]:
    row = line.row
    far = 1 << 41
    if row.state == "open":
        return 0, row.order_by if row.order_by is not None else (0 if line.too_late else far)
    if row.arrived is None:
        return 1, row.arrives if row.arrives is not None else far
    return 2, row.return_by if row.return_by is not None else far
