"""From a season to its network: which activities there are, and how each uses up time.

What is done, dropped, lost or only kept for a fallback is settled here; `links` adds what must
precede what, `scope` what the release waits for.
"""

from collections.abc import Mapping

from episodes.amounts import MINUTES_A_DAY
from episodes.calendars.openings import Stretch
from episodes.calendars.working_time import NEVER, open_minutes_before
from episodes.model.episode import Episode, Job, Shot, Step, Who
from episodes.model.season import Season
from episodes.network.absence import begun_step, moments_past, settle_absence, shot_lost
from episodes.network.activity import ALL_PLACES, Activity, Choice, Coat, Network
from episodes.network.draft import Draft
from episodes.network.fitting import check_fits
from episodes.network.hours import Hours
from episodes.network.links import LinkBuilder
from episodes.network.parcels import add_parcel
from episodes.network.scope import finish_network
from episodes.network.timing import Gate, Hands, Wait
from episodes.problems import PlanError, Problem
from episodes.trade.products import Coating

PAST = 200 * MINUTES_A_DAY
AHEAD = 26 * 7 * MINUTES_A_DAY
"""How far past the last release a step may still find its opening."""


def expand(
    season: Season,
    *,
    past: int = PAST,
    ahead: int = AHEAD,
    extra: Mapping[str, tuple[Stretch, ...]] | None = None,
    air: Mapping[str, tuple[float | None, float | None]] | None = None,
    hours: Hours | None = None,
) -> Network:
    """The network of a season.

    Args:
        past, ahead: minutes of calendar before `now` and after the last release.
        extra, air: see `Hours`.
        hours: the calendars to use, built before for a season of the same studio; `past`, `ahead`,
            `extra` and `air` are then theirs.

    Raises:
        PlanError: a step that fits in no opening, a coat whose air never comes, a circle of links.
    """
    now = season.now
    releases = [episode.release for episode in season.episodes]
    hours = hours or Hours(
        season,
        min([now, *releases]) - past,
        max([now, *releases]) + ahead,
        extra=extra,
        air=air,
    )
    draft = Draft(season=season, hours=hours)
    for episode in season.episodes:
        settle_absence(draft, episode)
    for order, episode in enumerate(season.episodes):
        if episode.released is None:
            _episode(draft, episode, order)
    if draft.faults:
        raise PlanError(draft.faults)
    links = LinkBuilder(draft).build()
    return finish_network(draft, links)


def _episode(draft: Draft, episode: Episode, order: int) -> None:
    started = moments_past(episode)
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
            draft.problems.append((episode.id, shot_lost(shot, started[shot.id])))
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
            add_parcel(draft, episode, order, parcel)


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
        if begun_step(steps[target]) and steps[target].done is not None:
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
    if done is None and started is None and step.failed is None:
        # Clamps that stay on have been on since the glue was: a fact that nobody need enter.
        started = _on_since(episode, job, step)
        if started is not None and step.wait is not None and started + step.wait.likely <= now:
            done = started + step.wait.likely
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
        if started is None:
            left = likely
        elif step.started is None and step.left is None:
            left = max(likely - (now - started), 0)
        else:
            left = _left(step, likely, now - started)
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
        check_fits(draft, activity, episode, AHEAD)
    draft.add(activity)


def _on_since(episode: Episode, job: Job, step: Step) -> int | None:
    """When a wait began by itself: the finish of the done hands-on step whose gear stays on."""
    place = job.at(step.id)
    if step.wait is None or step.after is not None or not place:
        return None
    before = job.steps[place - 1]
    shared = {name for name, _ in step.gear} & {name for name, _ in before.gear}
    if not shared or before.hands is None or not begun_step(before):
        return None
    return before.done


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
    curve = draft.hours.curve(coating, where)
    recoat = curve
    if coating.window_until is not None:
        recoat = draft.hours.curve(coating, where, never_faster=True)
    return Coat(coating=coating, curve=curve, recoat_curve=recoat, times=times)


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
                air = tuple(draft.hours.air(step.where))
                gate = Gate(stretches, coat.curve, coat.times["touch"], air)
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
        check_fits(draft, activity, episode, AHEAD)
    draft.add(activity)
