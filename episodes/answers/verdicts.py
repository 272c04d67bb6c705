"""Verdicts, their proofs and the dates of a room's release that hang on them."""

from dataclasses import dataclass

from episodes.answers.planning import Planning, Proof
from episodes.answers.rows import Verdict
from episodes.calendars.working_time import LONG_AGO, NEVER


@dataclass(frozen=True, slots=True)
class Judgement:
    """One episode judged; minutes UTC, None where no plan exists."""

    verdict: Verdict
    proved: bool
    ready_by: int | None
    ready_floor: int | None
    spare_min: int | None


def judge(planning: Planning, episode: str) -> Judgement:
    """Whether the plan meets an episode's release, and whether no other plan would."""
    network = planning.network
    scope = network.scope(episode)
    if scope.released is not None:
        return Judgement(
            "released",
            True,
            scope.released,
            scope.released,
            scope.release - scope.released,
        )
    ready = planning.plan.ready_by(episode)
    proof = planning.proofs.get(episode, Proof())
    dates_alone = planning.dates.floor(network, episode)
    bound = max(dates_alone, proof.floor)
    impossible = _impossible(planning, episode)
    floor = ready if bound <= LONG_AGO else None if bound >= NEVER or impossible else bound
    spare = None if ready is None else scope.release - ready
    open_required = [index for index in scope.required if network.activities[index].state != "done"]
    if not open_required and scope.release <= planning.network.now:
        return Judgement("released", True, ready, floor, spare)
    if ready is not None and ready <= scope.release:
        return Judgement("meets", True, ready, floor, spare)
    proved = impossible or floor is None or proof.slips or dates_alone > scope.release
    return Judgement("slips", proved, ready, floor, spare)


def _impossible(planning: Planning, episode: str) -> bool:
    """Whether links and last moments alone leave no plan at all."""
    network, dates = planning.network, planning.dates
    required = set(network.scope(episode).required)
    missed = {link.succ for link in dates.missed}
    return any(
        index in missed
        or index in dates.hopeless
        or dates.early_finish[index] >= NEVER
        or network.activities[index].at not in (None, dates.early_start[index])
        or (
            dates.early_finish[index] > network.activities[index].latest_finish
            and network.activities[index].kind != "parcel"
        )
        for index in required
        if network.activities[index].state != "done"
    )


def room_by(planning: Planning, episode: str, room: str | None) -> int | None:
    """The last moment at which the room's work may be over with the release still met.

    The latest late finish of required hands-on work and drying in the room that some required
    shot waits for, directly or through others; None without such a shot.
    """
    if room is None:
        return None
    network, dates = planning.network, planning.dates
    scope = network.scope(episode)
    required = set(scope.required)
    filmed: set[int] = set()
    open_ends = [i for i in required if network.activities[i].kind == "shot"]
    while open_ends:
        for link in network.incoming[open_ends.pop()]:
            if link.pred not in filmed:
                filmed.add(link.pred)
                open_ends.append(link.pred)
    latest: int | None = None
    for index in filmed & required:
        activity = network.activities[index]
        if activity.where != room or activity.kind != "hands":
            continue
        late = dates.late_finish[index]
        moments = [late] if activity.state != "done" else []
        row = network.dries.get(index)
        if row is not None and activity.coat is not None:
            over = activity.coat.stage_end(row.stage, late)
            if activity.state != "done" or over > network.now:
                moments.append(over)
        for moment in moments:
            if abs(moment) < NEVER and (latest is None or moment > latest):
                latest = moment
    return latest
