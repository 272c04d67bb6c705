"""From a season to its network: which activities there are, and how each uses up time.

What is done, dropped, lost or only kept for a fallback is settled here; `links` adds what must
precede what, `scope` what the release waits for.
"""

from collections.abc import Mapping
from dataclasses import dataclass, field, replace
from typing import Literal

from episodes.amounts import MINUTES_A_DAY
from episodes.calendars.openings import Stretch
from episodes.calendars.working_time import LONG_AGO, NEVER, open_minutes_before
from episodes.model.episode import Episode, Job, Parcel, Shot, Step, Who
from episodes.model.season import Season
from episodes.network.activity import ALL_PLACES, Activity, Choice, Coat, Network
from episodes.network.hours import Hours
from episodes.network.links import LinkBuilder
from episodes.network.scope import finish_network
from episodes.network.timing import Delivery, Expected, Gate, Hands, Timing, Wait
from episodes.problems import PlanError, Problem
from episodes.trade.products import Coating

PAST = 200 * MINUTES_A_DAY
AHEAD = 26 * 7 * MINUTES_A_DAY
"""How far past the last release a step may still find its opening."""

Absent = Literal["dropped", "spare"]


@dataclass(slots=True)
class Draft:
    """What is gathered while a season is expanded; `finish_network` freezes it."""

    season: Season
    hours: Hours
    activities: list[Activity] = field(default_factory=list)
    index: dict[tuple[str, str], int] = field(default_factory=dict)
    during: dict[tuple[str, str], int] = field(default_factory=dict)
    absent: dict[tuple[str, str], Absent] = field(default_factory=dict)
    replaced: dict[tuple[str, str], str] = field(default_factory=dict)
    problems: list[tuple[str, Problem]] = field(default_factory=list)
    faults: list[Problem] = field(default_factory=list)

    def add(self, activity: Activity) -> None:
        self.index[activity.key] = activity.index
        self.activities.append(activity)


def expand(
    season: Season,
    *,
    past: int = PAST,
    ahead: int = AHEAD,
    extra: Mapping[str, tuple[Stretch, ...]] | None = None,
    air: Mapping[str, tuple[float | None, float | None]] | None = None,
) -> Network:
    """The network of a season.

    Args:
        past, ahead: minutes of calendar before `now` and after the last release.
        extra, air: see `Hours`.

    Raises:
        PlanError: a step that fits in no opening, a coat whose air never comes, a circle of links.
    """
    now = season.now
    releases = [episode.release for episode in season.episodes]
    hours = Hours(
        season,
        min([now, *releases]) - past,
        max([now, *releases]) + ahead,
        extra=extra,
        air=air,
    )
    draft = Draft(season=season, hours=hours)
    for episode in season.episodes:
        _absent(draft, episode)
    for order, episode in enumerate(season.episodes):
        if episode.released is None:
            _episode(draft, episode, order)
    if draft.faults:
        raise PlanError(draft.faults)
    links = LinkBuilder(draft).build()
    return finish_network(draft, links)


def _absent(draft: Draft, episode: Episode) -> None:
    """Settle what takes no part: dropped, lost, kept for a fallback, or replaced."""
    absent = draft.absent
    replacers = {
        parcel.replaces: parcel.id
        for parcel in episode.parcels
        if parcel.replaces is not None and not parcel.fallback_only and parcel.dropped is None
    }
    for parcel in episode.parcels:
        key = (episode.id, parcel.id)
        if parcel.dropped is not None:
            absent[key] = "dropped"
        elif parcel.fallback_only:
            absent[key] = "spare"
        elif parcel.id in replacers:
            draft.replaced[key] = replacers[parcel.id]
            if parcel.failed is not None and parcel.arrived is None:
                absent[key] = "dropped"
    for job in episode.jobs:
        for step in job.steps:
            if job.dropped is not None or step.dropped is not None:
                absent[episode.id, step.id] = "dropped"
            elif step.fallback_only or job.fallback_only:
                absent[episode.id, step.id] = "spare"
    lost = {shot.id for shot in episode.shots if shot.lost is not None}
    covered = {
        shot.covers
        for shot in episode.shots
        if shot.covers in lost and shot.dropped is None and not shot.fallback_only
    }
    for shot in episode.shots:
        key = (episode.id, shot.id)
        if shot.dropped is not None:
            absent[key] = "dropped"
        elif shot.fallback_only or (shot.covers is not None and shot.covers not in lost):
            absent[key] = "spare"
        elif shot.lost is not None and shot.id in covered:
            absent[key] = "dropped"
            draft.replaced[key] = next(s.id for s in episode.shots if s.covers == shot.id)
        elif shot.lost is not None and shot.once:
            absent[key] = "dropped"
            draft.problems.append((episode.id, _shot_lost(shot, "its footage is gone")))


def _shot_lost(shot: Shot, why: str) -> Problem:
    return Problem(
        level="error",
        code="shot-lost",
        where=shot.place,
        text=f'"{shot.title}" can\'t be taken any more: {why}.',
        mend="Film something that stands in for it: a shot with covers = "
        f'"{shot.id}", and mark this one as lost.',
        subject=shot.id,
    )


def _episode(draft: Draft, episode: Episode, order: int) -> None:
    started = _first_touched(episode)
    shots_during = _during_shots(draft, episode)
    for job in episode.jobs:
        for step in job.steps:
            if (episode.id, step.id) not in draft.absent:
                _step(draft, episode, order, job, step, shots_during.get(step.id, ()))
    for shot in episode.shots:
        key = (episode.id, shot.id)
        if key in draft.absent or key in draft.during:
            continue
        if shot.once and shot.taken is None and shot.id in started:
            draft.absent[key] = "dropped"
            draft.problems.append((episode.id, _shot_lost(shot, started[shot.id])))
            continue
        _shot(draft, episode, order, shot)
        if shot.taken is not None and not shot.backed_up:
            draft.problems.append(
                (
                    episode.id,
                    Problem(
                        level="warning",
                        code="not-backed-up",
                        where=shot.place,
                        text=f'"{shot.title}" is on one card only.',
                        mend="Copy it before the card is used again, then write backed_up = true.",
                        subject=shot.id,
                    ),
                )
            )
    for parcel in episode.parcels:
        if (episode.id, parcel.id) not in draft.absent:
            _parcel(draft, episode, order, parcel)


def _begun(step: Step) -> bool:
    if step.failed is not None and not (step.done is not None and step.done > step.failed):
        return False
    return step.started is not None or step.done is not None


def _first_touched(episode: Episode) -> dict[str, str]:
    """Shots whose moment is past, by id, with what took it: a step after them has begun."""
    steps = {step.id: step for job in episode.jobs for step in job.steps}
    jobs = {job.id: job for job in episode.jobs}
    past: dict[str, str] = {}
    for shot in episode.shots:
        waiting: list[Step] = []
        for ref in shot.before:
            if ref.episode == episode.id and ref.kind == "step":
                waiting.append(steps[ref.id])
            elif ref.episode == episode.id and ref.kind == "job":
                waiting.extend(jobs[ref.id].steps)
        if shot.of is not None and shot.of.episode == episode.id:
            if shot.when == "before":
                if shot.of.kind == "step":
                    waiting.append(steps[shot.of.id])
                elif shot.of.kind == "job":
                    waiting.extend(jobs[shot.of.id].steps)
            elif shot.when == "during" and shot.of.kind == "step":
                if steps[shot.of.id].done is not None and _begun(steps[shot.of.id]):
                    waiting.append(steps[shot.of.id])
            elif shot.of.kind == "step":
                job = jobs[steps[shot.of.id].job]
                at = [step.id for step in job.steps].index(shot.of.id)
                waiting.extend(step for step in job.steps[at + 1 :] if step.hands is not None)
        begun = next((step for step in waiting if _begun(step)), None)
        if begun is not None:
            past[shot.id] = f'"{begun.title}" has begun'
    return past


def _during_shots(draft: Draft, episode: Episode) -> dict[str, tuple[Shot, ...]]:
    """Open shots filmed while a step is worked, by the step's id."""
    found: dict[str, tuple[Shot, ...]] = {}
    steps = {step.id: step for job in episode.jobs for step in job.steps}
    for shot in episode.shots:
        key = (episode.id, shot.id)
        if shot.when != "during" or shot.of is None or key in draft.absent:
            continue
        if shot.of.kind == "job":
            target = next(job for job in episode.jobs if job.id == shot.of.id).steps[0].id
        else:
            target = shot.of.id
        if shot.taken is not None or (episode.id, target) in draft.absent:
            continue
        if _begun(steps[target]) and steps[target].done is not None:
            continue
        found[target] = (*found.get(target, ()), shot)
        draft.during[key] = -1
    return found


def _step(
    draft: Draft, episode: Episode, order: int, job: Job, step: Step, during: tuple[Shot, ...]
) -> None:
    index = len(draft.activities)
    for shot in during:
        draft.during[episode.id, shot.id] = index
    now = draft.season.now
    done, started = step.done, step.started
    if step.failed is not None:
        # What failed does not count; only what was done after that does.
        done = done if done is not None and done > step.failed else None
        started = started if started is not None and started > step.failed else None
    hands = step.hands is not None
    likely = (step.hands or step.wait).likely if (step.hands or step.wait) else 0  # type: ignore[union-attr]
    likely += sum(shot.hands.likely for shot in during if shot.hands is not None)
    gear = dict(step.gear)
    for shot in during:
        for name, count in shot.gear:
            gear[name] = gear.get(name, 0) + count
    coat = _coat(draft, step.coating, step.where)
    makes = step.makes
    if step.coating is not None and step.coating.dusty:
        makes = makes | {"dust"}
    earliest = _earliest(now, episode, step.not_before, hands=hands)
    choices: tuple[Choice, ...]
    if hands:
        companions = tuple(person for shot in during for person in shot.who.people)
        staffings = [
            tuple(dict.fromkeys((*people, *companions))) for people in _staffings(step.who)
        ]
        choices = _hands_choices(
            draft, step, staffings, likely, started, noisy="noise" in makes, coat=coat
        )
    else:
        left = likely if started is None else _left(step, likely, now - started)
        choices = (Choice((), Wait(left)),)
    activity = Activity(
        index=index,
        key=(episode.id, step.id),
        kind="hands" if hands else "wait",
        state="done" if done is not None else "started" if started is not None else "open",
        title=step.title,
        job=job.id,
        choices=choices,
        earliest=earliest if done is None and started is None else now,
        at=step.at if done is None and started is None else None,
        latest_finish=step.not_after if step.not_after is not None else NEVER,
        fact_start=started if started is not None else done,
        fact_finish=done,
        optional=step.optional or job.optional,
        rank=(order, 0),
        where=step.where,
        places=_places(step.where, step.alone, likely),
        gear=tuple(sorted(gear.items())),
        makes=makes,
        needs_air=step.needs_air | ({"still"} if coat is not None else frozenset()),
        coat=coat,
        work=likely,
        light=None if step.light is None else draft.hours.light(step.light),
        place=step.place,
    )
    if done is None:
        _check_fits(draft, activity, episode)
    draft.add(activity)


def _left(step: Step, likely: int, elapsed: int) -> int:
    """What remains of a started step: as told, else likely less what passed, a quarter at least."""
    if step.left is not None:
        return step.left
    return max(likely - elapsed, -(-likely // 4))


def _places(where: str | None, alone: bool, work: int) -> int:
    if where is None or work == 0:
        return 0
    return ALL_PLACES if alone else 1


def _staffings(who: Who) -> list[tuple[str, ...]]:
    if who.any_of:
        return [(person,) for person in who.people]
    return [who.people]


def _earliest(now: int, episode: Episode, not_before: int | None, *, hands: bool) -> int:
    bounds = [now]
    if not_before is not None:
        bounds.append(not_before)
    if hands and episode.may_start is not None:
        bounds.append(episode.may_start)
    return max(bounds)


def _coat(draft: Draft, coating: Coating | None, where: str | None) -> Coat | None:
    if coating is None:
        return None
    times = {stage: estimate.likely for stage, estimate in coating.times.items()}
    return Coat(coating=coating, curve=draft.hours.curve(coating, where), times=times)


def _hands_choices(
    draft: Draft,
    step: Step | Shot,
    staffings: list[tuple[str, ...]],
    likely: int,
    started: int | None,
    *,
    noisy: bool,
    coat: Coat | None,
) -> tuple[Choice, ...]:
    choices: list[Choice] = []
    now = draft.season.now
    for people in staffings:
        openings = draft.hours.of(people, step.where, step.light, noisy=noisy)
        work = likely
        if started is not None and isinstance(step, Step):
            passed = open_minutes_before(openings, now) - open_minutes_before(openings, started)
            work = _left(step, likely, passed)
        elif isinstance(step, Step) and step.left is not None:
            work = step.left
        gate = None
        if coat is not None and started is None:
            stretches = draft.hours.allowed_air(coat.coating, step.where)
            if stretches is not None:
                gate = Gate(stretches, coat.curve, coat.times["touch"])
        # What has been begun and broken off goes on in what is left of its opening.
        one_go = step.one_go and started is None
        choices.append(Choice(people, Hands(openings, work, one_go, gate)))
    return tuple(choices)


def _shot(draft: Draft, episode: Episode, order: int, shot: Shot) -> None:
    likely = shot.hands.likely if shot.hands is not None else 0
    taken = shot.taken if shot.lost is None else None
    started = shot.started if taken is None and shot.lost is None else None
    choices: tuple[Choice, ...]
    if likely == 0:
        choices = (Choice((), Wait(0)),)
    else:
        choices = _hands_choices(
            draft, shot, _staffings(shot.who), likely, started,
            noisy="noise" in shot.makes, coat=None,
        )  # fmt: skip
    activity = Activity(
        index=len(draft.activities),
        key=(episode.id, shot.id),
        kind="shot",
        state="done" if taken is not None else "started" if started is not None else "open",
        title=shot.title,
        choices=choices,
        earliest=_earliest(draft.season.now, episode, shot.not_before, hands=True)
        if started is None
        else draft.season.now,
        at=shot.at if taken is None and started is None else None,
        latest_finish=shot.not_after if shot.not_after is not None else NEVER,
        fact_start=started if started is not None else taken,
        fact_finish=taken,
        optional=shot.optional,
        rank=(order, 0),
        where=shot.where,
        places=_places(shot.where, shot.alone, likely),
        gear=shot.gear,
        makes=shot.makes,
        needs_air=shot.needs_air,
        work=likely,
        light=None if shot.light is None else draft.hours.light(shot.light),
        place=shot.place,
    )
    if taken is None:
        _check_fits(draft, activity, episode)
    draft.add(activity)


def _parcel(draft: Draft, episode: Episode, order: int, parcel: Parcel) -> None:
    now = draft.season.now
    days = draft.hours.carrier(parcel.carrier)
    settle = parcel.settle.likely
    failed = parcel.failed is not None
    replaced = (episode.id, parcel.id) in draft.replaced
    ordered, arrived, promised = parcel.ordered, parcel.arrived, parcel.promised
    if failed and not replaced:
        ordered = arrived = promised = None
        draft.problems.append(
            (
                episode.id,
                Problem(
                    level="warning",
                    code="order-again",
                    where=parcel.place,
                    text=f'"{parcel.title}" came {parcel.failed} and nothing replaces it; '
                    "the plan orders it again now.",
                    mend=f'Order it, and add a parcel with replaces = "{parcel.id}".',
                    subject=parcel.id,
                ),
            )
        )
    workdays = parcel.lead is not None and parcel.lead.workdays
    lead = parcel.lead.amount.likely if parcel.lead is not None else 0
    timing: Timing
    state: Literal["open", "started", "done"]
    fact_finish: int | None = None
    if arrived is not None:
        settled = arrived + settle
        timing = Expected(arrived, settle)
        state = "done" if settled <= now else "started"
        fact_finish = settled if settled <= now else None
    elif ordered is not None or promised is not None:
        if promised is not None:
            expected = promised
        else:
            delivery = Delivery(days if workdays else None, lead, 0)
            expected = delivery.arrival(ordered if ordered is not None else now)
        if expected < now:
            late = expected
            expected = days.next_arrival(now)
            draft.problems.append((episode.id, _overdue(parcel, late, draft)))
        timing = Expected(expected, settle)
        state = "started" if ordered is not None else "open"
    else:
        timing = Delivery(days if workdays else None, lead, settle)
        state = "open"
    draft.add(
        Activity(
            index=len(draft.activities),
            key=(episode.id, parcel.id),
            kind="parcel",
            state=state,
            title=parcel.title,
            choices=(Choice((), timing),),
            earliest=_earliest(now, episode, parcel.not_before, hands=False)
            if state == "open"
            else LONG_AGO,
            at=parcel.at if state == "open" else None,
            latest_finish=NEVER
            if parcel.not_after is None or state == "done"
            else parcel.not_after + settle,
            fact_start=(ordered if ordered is not None else arrived) if state != "open" else None,
            fact_finish=fact_finish,
            optional=parcel.optional,
            required=not replaced,
            rank=(order, 0),
            work=lead,
            place=parcel.place,
        )
    )


def _overdue(parcel: Parcel, expected: int, draft: Draft) -> Problem:
    day = draft.hours.zone.local(expected)
    return Problem(
        level="warning",
        code="overdue",
        where=parcel.place,
        text=f'"{parcel.title}" was expected on {day:%Y-%m-%d %H:%M} and has not arrived; '
        "the plan counts on the carrier's next day.",
        mend="Ask the carrier, and write the new day as promised, or the day it came as arrived.",
        subject=parcel.id,
    )


def _check_fits(draft: Draft, activity: Activity, episode: Episode) -> None:
    """A fault where the step finds no opening at all up to 26 weeks after its release."""
    if activity.state != "open" or activity.kind in ("wait", "parcel"):
        return
    limit = max(episode.release, draft.season.now) + AHEAD
    if any(choice.timing.fit(activity.earliest) < limit for choice in activity.choices):
        return
    hands = [c.timing for c in activity.choices if isinstance(c.timing, Hands)]
    if any(timing.gate is not None and timing.fit_hours(activity.earliest) < limit for timing in hands):
        coating = activity.coat.coating if activity.coat is not None else None
        text = (
            f'"{activity.id}" finds no day on which {coating.product if coating else "its coat"} '
            f"may be laid in {activity.where or 'that air'}: it is too cold, too hot or too damp "
            "there up to 26 weeks after the release."
        )
        mend = "Heat or dry the space (air), move the step (where), or take another product (coat)."
        code = "no-open-day"
    else:
        longest = max((timing.openings.longest for timing in hands), default=0)
        one_go = any(timing.one_go for timing in hands)
        need = min((timing.work for timing in hands), default=0)
        text = (
            f'"{activity.id}" needs {need} min{" in one go" if one_go else ""}, and '
            f"the longest opening of its people, space and light is {longest} min."
        )
        mend = "Give it longer hours, other people, another space, or " + (
            "one_go = false." if one_go else "more open days."
        )
        code = "fits-nowhere"
    draft.faults.append(
        Problem(level="error", code=code, where=activity.place, text=text, mend=mend,
                subject=activity.id)
    )  # fmt: skip


def with_arrival(network: Network, index: int, arrival: int) -> Network:
    """The same network with one parcel in hand at `arrival`, whatever was said of it before."""
    activity = network.activities[index]
    timing = activity.choices[0].timing
    settle = timing.settle if isinstance(timing, (Delivery, Expected)) else 0
    changed = replace(activity, choices=(Choice((), Expected(arrival, settle)),))
    activities = (*network.activities[:index], changed, *network.activities[index + 1 :])
    return replace(network, activities=activities)
