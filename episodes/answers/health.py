"""Is the schedule itself sound? What published guides ask of one, asked of each room.

The questions are those of two guides. GAO: U.S. Government Accountability Office, *Schedule
Assessment Guide*, GAO-16-89G, December 2015, its ten best practices (their names as read in a
public summary; the rest of the guide from memory). DCMA: the 14 schedule metrics of the Defense
Contract Management Agency (Program Analysis Pamphlet DCMA-EA PAM 200.1, 2012; metrics and their
thresholds as quoted by others and from memory). They were written for programmes of years, so some
thresholds are drawn in to a room of a month; each says so where it stands.

Not asked here, since the plan format leaves no room for it: leads (a gap is never negative),
forecasts in the past and facts in the future (planned from now, refused by the reader), work
without anybody to do it (the studio's first person does it). Hours are `load`'s to answer for,
tasks missed against a kept plan `drift`'s, and slack below zero is the verdict itself.
"""

from collections.abc import Iterable, Sequence

from episodes.amounts import MINUTES_A_DAY
from episodes.answers.planning import Planning
from episodes.answers.rows import Metric
from episodes.answers.verdicts import Judgement
from episodes.calendars.working_time import NEVER
from episodes.model.episode import Episode
from episodes.network.activity import FINISH, START, Activity, Link
from episodes.network.timing import Delivery, Expected

SHARE = 0.05
"""DCMA: no more than one in twenty may lack logic, be lagged, fixed or of high float."""
OTHER_TYPES = 0.1
"""DCMA: nine links in ten run from a finish to a start."""
HIGH_FLOAT = 44 * MINUTES_A_DAY * 7 // 5
"""DCMA: more than 44 working days, as days of the calendar."""
LONG_STEP = 8 * 60
"""Minutes of hands-on work. DCMA: 44 working days; GAO: short enough to be told progress by. More
than a full day is more than two evenings here (own choice, no published source)."""
UNSURE_FROM = 3 * 60
"""Minutes from which a length wants a range (own choice, no published source)."""
LONG_BEGUN = 14 * MINUTES_A_DAY
"""GAO, practice 9: progress is entered as it happens. Two weeks of a month (own choice)."""
PATH_TEST = 28 * MINUTES_A_DAY
"""DCMA: a delay of 600 working days; four weeks are as absurd for a month's room."""
WEEK = 7 * MINUTES_A_DAY
"""What hours that come round weekly may take from a delay, or add to it."""
FEW = 3
"""Fewer than so many are no share of anything."""
SMALL_ROOM = 8
"""Activities below which shares and what is filmed are not asked for."""


def health(
    planning: Planning,
    episode: Episode,
    judgement: Judgement,
    critical: Iterable[int],
) -> tuple[Metric, ...]:
    """The metrics of one room, in the order of the guides; nothing for one that is out.

    Args:
        critical: numbers of its critical activities.
    """
    if judgement.verdict == "released":
        return ()
    return _Health(planning, episode, judgement, tuple(critical)).metrics()


class _Health:
    def __init__(
        self,
        planning: Planning,
        episode: Episode,
        judgement: Judgement,
        critical: Sequence[int],
    ) -> None:
        self.planning = planning
        self.network = planning.network
        self.episode = episode
        self.judgement = judgement
        self.critical = critical
        self.members = [
            self.network.activities[index] for index in self.network.scope(episode.id).members
        ]
        self.open = [activity for activity in self.members if activity.state != "done"]
        self.required = [activity for activity in self.open if activity.required]
        self.links = [
            link for activity in self.open for link in self.network.incoming[activity.index]
        ]
        self.small = len(self.members) < SMALL_ROOM
        self.steps = {step.id: step for job in episode.jobs for step in job.steps}

    def metrics(self) -> tuple[Metric, ...]:
        return (
            self._filmed("before", "unfilmed-start"),
            self._filmed("after", "unfilmed-end"),
            self._open_starts(),
            self._open_ends(),
            self._gaps(),
            self._link_types(),
            self._fixed_dates(),
            self._high_float(),
            self._long_steps(),
            self._no_range(),
            self._long_begun(),
            self._path_test(),
            self._path_index(),
        )

    def _share(
        self, code: str, of: Sequence[Activity], against: Sequence[Activity], limit: float = SHARE
    ) -> Metric:
        """A count that may be no more than a share, and is not minded while it is small."""
        over = len(against) >= FEW and len(against) > limit * len(of)
        return Metric(
            code=code,
            value=len(against),
            of=len(of),
            limit=limit,
            ok=self.small or not over,
            subjects=tuple(activity.id for activity in against),
        )

    def _listed(self, code: str, of: Sequence[Activity], against: Sequence[Activity]) -> Metric:
        """A count of which each one is worth naming."""
        return Metric(
            code=code,
            value=len(against),
            of=len(of),
            limit=0,
            ok=not against,
            subjects=tuple(activity.id for activity in against),
        )

    # -- are all activities there? (GAO, practice 1) -------------------------------------------

    def _filmed(self, when: str, code: str) -> Metric:
        """Whether a room that is worked on is filmed before the work, and after it."""
        worked = [a for a in self.members if a.kind == "hands" and a.where == self.episode.room]
        shots = [shot for shot in self.episode.shots if shot.when == when]
        asked = self.episode.room is not None and bool(worked) and not self.small
        return Metric(code=code, value=len(shots), of=None, limit=1, ok=not asked or bool(shots))

    # -- logic (GAO, practice 2; DCMA 1 to 4) ----------------------------------------------------

    def _open_starts(self) -> Metric:
        """Work that waits for nothing: it is planned at once, whatever the room looks like."""
        work = [a for a in self.open if a.kind in ("hands", "shot") and a.state == "open"]
        loose = [a for a in work if a.kind == "hands" and not self.network.incoming[a.index]]
        return self._share("open-start", work, loose)

    def _open_ends(self) -> Metric:
        """What nothing waits for but the release, and what no shot shows: why is it there?

        What comes after a shot is the film's own work, which ends with the release.
        """
        shown = self._after_a_shot()
        work = [a for a in self.required if a.kind != "shot" and a.index not in shown]
        ends = [a for a in work if not self.network.outgoing[a.index]]
        if not any(activity.kind == "shot" for activity in self.members):
            ends = []
        return self._listed("open-end", work, ends)

    def _after_a_shot(self) -> set[int]:
        found: set[int] = set()
        ends = [activity.index for activity in self.members if activity.kind == "shot"]
        while ends:
            for link in self.network.outgoing[ends.pop()]:
                if link.succ not in found:
                    found.add(link.succ)
                    ends.append(link.succ)
        return found

    def _gaps(self) -> Metric:
        """Time that passes without a name: it cannot be told progress of."""
        gaps = [link for link in self.links if link.least > 0 and link.point in (START, FINISH)]
        return self._of_links("gaps", gaps, SHARE)

    def _link_types(self) -> Metric:
        """Links that do not run from a finish to a start."""
        others = [link for link in self.links if link.point == START or link.to_finish]
        return self._of_links("link-types", others, OTHER_TYPES)

    def _of_links(self, code: str, against: Sequence[Link], limit: float) -> Metric:
        over = len(against) >= FEW and len(against) > limit * len(self.links)
        subjects = dict.fromkeys(self.network.activities[link.succ].id for link in against)
        return Metric(
            code=code,
            value=len(against),
            of=len(self.links),
            limit=limit,
            ok=self.small or not over,
            subjects=tuple(subjects),
        )

    # -- dates and float (DCMA 5 to 7; GAO, practice 7) ------------------------------------------

    def _fixed_dates(self) -> Metric:
        """Starts that are fixed and finishes with a last moment of their own."""
        fixed = [a for a in self.open if a.at is not None or a.latest_finish < NEVER]
        return self._share("fixed-dates", self.open, fixed)

    def _high_float(self) -> Metric:
        dates = self.planning.dates
        bound = [a for a in self.required if dates.late_finish[a.index] < NEVER]
        high = [
            a
            for a in bound
            if dates.late_finish[a.index] - dates.early_finish[a.index] > HIGH_FLOAT
        ]
        return self._share("high-float", bound, high)

    # -- durations (GAO, practices 4 and 8; DCMA 8) ----------------------------------------------

    def _long_steps(self) -> Metric:
        work = [a for a in self.open if a.kind == "hands" and a.state == "open"]
        return self._listed("long-steps", work, [a for a in work if a.work > LONG_STEP])

    def _no_range(self) -> Metric:
        """Long lengths and leads that are written as if they were certain."""
        unsure = [a for a in self.required if self._wants_a_range(a)]
        certain = [a for a in unsure if self._is_certain(a)]
        over = len(certain) >= FEW and len(certain) > len(unsure) / 2
        return Metric(
            code="no-range",
            value=len(certain),
            of=len(unsure),
            limit=0.5,
            ok=not over,
            subjects=tuple(activity.id for activity in certain),
        )

    def _wants_a_range(self, activity: Activity) -> bool:
        if activity.kind == "hands":
            return activity.work >= UNSURE_FROM
        timing = activity.choices[0].timing
        return activity.kind == "parcel" and isinstance(timing, Delivery) and timing.lead > 0

    def _is_certain(self, activity: Activity) -> bool:
        if activity.kind == "hands":
            hands = self.steps[activity.id].hands
            return hands is not None and hands.certain
        lead = next(each.lead for each in self.episode.parcels if each.id == activity.id)
        return lead is not None and lead.amount.certain

    # -- progress (GAO, practice 9) --------------------------------------------------------------

    def _long_begun(self) -> Metric:
        begun = [a for a in self.open if a.state == "started" and a.kind in ("hands", "shot")]
        now = self.network.now
        long = [a for a in begun if a.fact_start is not None and now - a.fact_start > LONG_BEGUN]
        return self._listed("long-begun", begun, long)

    # -- the critical path (GAO, practice 6; DCMA 12 and 13) -------------------------------------

    def _path_test(self) -> Metric:
        """A long delay of the first critical thing must come out at the ready moment.

        Something with a fixed moment of its own on the way there breaks the path: the delay runs
        into it. The weekly round of hours may take or add up to a week.
        """
        first = self._first_critical()
        moved, missed = (None, []) if first is None else self._delayed(first)
        broken = bool(missed) or (moved is not None and moved < PATH_TEST - WEEK)
        return Metric(
            code="critical-path-test",
            value=None if moved is None else moved // MINUTES_A_DAY,
            of=PATH_TEST // MINUTES_A_DAY,
            ok=not broken,
            subjects=() if first is None else (first.id, *missed),
        )

    def _first_critical(self) -> Activity | None:
        placed = self.planning.plan.placed
        standing = [
            (at.start, index)
            for index in self.critical
            if (at := placed[index]) is not None and self.network.activities[index].at is None
        ]
        return self.network.activities[min(standing)[1]] if standing else None

    def _delayed(self, activity: Activity) -> tuple[int | None, list[str]]:
        """Minutes by which the ready moment moves with the delay, None where the calendar ends
        before that can be said; and what has a fixed moment that can't be kept any more."""
        retimer = self.planning.retimer
        index, reach = activity.index, retimer.reach(self.episode.id)
        placed = self.planning.plan.placed[index]
        assert placed is not None
        timing = activity.choices[placed.choice].timing
        if isinstance(timing, Expected):
            arrival = timing.arrival(placed.start) + PATH_TEST
            trial = retimer.with_arrival(index, arrival, only=reach)
        else:
            trial = retimer.base.copy()
            trial.only = reach
            trial.raised[index] = max(trial.raised[index], placed.start + PATH_TEST)
            trial.run([index])
        missed = [
            each.id
            for each in self.required
            if each.at is not None
            and each.index in reach
            and trial.starts[each.index] != each.at == retimer.base.starts[each.index]
        ]
        after = retimer.ready_by(self.episode.id, trial)
        if after >= NEVER:
            return None, missed
        return after - retimer.ready_by(self.episode.id), missed

    def _path_index(self) -> Metric:
        """(length of the critical path + its float) / its length, from now to the ready moment.

        DCMA asks for 0.95 and aims at 1: below that all that is left would have to go quicker.
        """
        ready, now = self.judgement.ready_by, self.network.now
        index = None
        if ready is not None and ready > now:
            index = round((self.episode.release - now) / (ready - now), 2)
        return Metric(
            code="critical-path-index",
            value=index,
            of=None,
            limit=0.95,
            ok=index is None or index >= 0.95,
        )
