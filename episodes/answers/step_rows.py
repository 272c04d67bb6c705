"""Rows of steps, dryings, parcels and shots from a planned season."""

from dataclasses import replace

from episodes.answers.planning import Planning
from episodes.answers.rows import Because, BecauseKind, Kind, State, StepRow
from episodes.calendars.working_time import NEVER
from episodes.model.episode import Episode, Parcel, Shot, Step
from episodes.network.activity import POINT, Activity
from episodes.network.timing import Hands
from episodes.schedule.plan import Placed
from episodes.trade.cautions import MOST, shown
from episodes.trade.products import Stage


class StepRows:
    """Builds the rows of one episode."""

    def __init__(
        self, planning: Planning, episode: Episode, critical: tuple[set[int], set[int]]
    ) -> None:
        self.planning = planning
        self.network = planning.network
        self.dates = planning.dates
        self.episode = episode
        self.critical, self.critical_dryings = critical
        self._written: dict[str, Step | Shot | Parcel] = {
            **{step.id: step for job in episode.jobs for step in job.steps},
            **{shot.id: shot for shot in episode.shots},
            **{parcel.id: parcel for parcel in episode.parcels},
        }

    def build(self) -> tuple[StepRow, ...]:
        """All rows by start (None last), then id."""
        rows = [self._release()]
        for job in self.episode.jobs:
            for step in job.steps:
                rows.extend(self._of(step.id, "wait" if step.hands is None else "hands"))
        for shot in self.episode.shots:
            rows.extend(self._of(shot.id, "shot"))
        for parcel in self.episode.parcels:
            rows.extend(self._of(parcel.id, "parcel"))
        rows.sort(key=lambda row: (row.start is None, row.start or 0, row.id))
        return tuple(rows)

    def _release(self) -> StepRow:
        moment = self.episode.release
        done = self.episode.released is not None
        return StepRow(
            id="release",
            episode=self.episode.id,
            job="",
            title="Release",
            kind="release",
            state="done" if done or moment <= self.network.now else "open",
            early_start=moment,
            early_finish=moment,
            late_start=moment,
            late_finish=moment,
            slack_min=0,
            slack_work_min=0,
            start=moment,
            finish=moment,
            place=self.episode.place,
        )

    def _of(self, id: str, kind: Kind) -> list[StepRow]:
        key = (self.episode.id, id)
        if self.network.absent.get(key) == "spare":
            return []
        if key in self.network.index:
            activity = self.network.activities[self.network.index[key]]
            row = self._row(activity, kind)
            rows = [row]
            if activity.coat is not None and activity.index in self.network.dries:
                rows.append(self._dry(activity, row))
            return rows
        if key in self.network.during and self.network.during[key] >= 0:
            return [self._during(id, self.network.activities[self.network.during[key]])]
        if self.episode.released is not None:
            return [self._past(id, kind)]
        return [self._bare(id, kind, "dropped")]

    def _bare(self, id: str, kind: Kind, state: State) -> StepRow:
        written = self._written[id]
        job = written.job if isinstance(written, Step) else ""
        return StepRow(
            id=id,
            episode=self.episode.id,
            job=job,
            title=written.title,
            kind=kind,
            state=state,
            optional=written.optional,
            once=isinstance(written, Shot) and written.once,
            note=written.note,
            link=written.link,
            place=written.place,
        )

    def _past(self, id: str, kind: Kind) -> StepRow:
        """A row of an episode that is out: what facts say, nothing planned."""
        written = self._written[id]
        row = self._bare(id, kind, "dropped")
        if isinstance(written, Step):
            start, finish = written.started, written.done
        elif isinstance(written, Shot):
            start, finish = written.started, written.taken
        else:
            start, finish = written.ordered, written.arrived
        if finish is None:
            return row
        return replace(row, state="done", start=finish if start is None else start, finish=finish)

    def _row(self, activity: Activity, kind: Kind) -> StepRow:
        index = activity.index
        placed = self.planning.plan.placed[index]
        written = self._written[activity.id]
        done = activity.state == "done"
        early_start: int | None = None
        early_finish: int | None = None
        late_start: int | None = None
        late_finish: int | None = None
        if not done:
            early_start = _moment(self.dates.early_start[index])
            early_finish = _moment(self.dates.early_finish[index])
            late_start = _moment(self.dates.late_start[index])
            late_finish = _moment(self.dates.late_finish[index])
            if activity.state == "started":
                early_start = activity.fact_start
                late_start = activity.fact_start if late_finish is not None else None
            if activity.kind == "parcel" and activity.state == "open" and early_start is not None:
                early_start = max(early_start, self.network.now)
        slack = None if early_finish is None or late_finish is None else late_finish - early_finish
        start = None if placed is None else placed.start
        if activity.fact_start is not None:
            start = activity.fact_start
        choice = 0 if placed is None else placed.choice
        light = getattr(written, "light", None)
        return StepRow(
            id=activity.id,
            episode=activity.episode,
            job=activity.job,
            title=activity.title,
            kind=kind,
            state=activity.state,
            critical=index in self.critical,
            early_start=early_start,
            early_finish=early_finish,
            late_start=late_start,
            late_finish=late_finish,
            slack_min=slack,
            slack_work_min=self._own(activity, choice, early_finish, late_finish),
            start=start,
            finish=None if placed is None else placed.finish,
            sessions=() if done or placed is None else self._sessions(activity, placed),
            who=() if placed is None and len(activity.choices) > 1 else self._who(activity, choice),
            where=activity.where,
            because=None if done or placed is None else self._because(placed),
            work_min=self._work(activity, choice),
            optional=activity.optional,
            once=isinstance(written, Shot) and written.once,
            light=light,
            gear=activity.gear,
            cautions=_cautions(written),
            after_release=activity.behind,
            of=written.of.id if isinstance(written, Shot) and written.of is not None else "",
            note=written.note,
            link=written.link,
            place=activity.place,
            coat_windows=() if done else self._coat_windows(activity),
        )

    def _coat_windows(self, activity: Activity) -> tuple[tuple[int, int | None], ...]:
        """When the coat underneath, as planned, lets this one start: (from, until or None)."""
        first: int | None = None
        last: int | None = None
        windows: tuple[tuple[int, int | None], ...] = ()
        for link in self.network.incoming[activity.index]:
            under = self.network.activities[link.pred]
            placed = self.planning.plan.placed[link.pred]
            if activity.coat is None or under.coat is None or placed is None:
                continue
            if link.most is None and link.point == POINT["recoat"]:
                first = under.coat.stage_end("recoat", placed.finish)
            elif link.recoat and link.most is not None and link.or_point is not None:
                second = under.coat.stage_end("recoat", placed.finish)
                windows = ((placed.finish, placed.finish + link.most), (second, None))
            elif link.recoat and link.most is not None:
                last = placed.finish + link.most
        if first is not None:
            # A longest recoat time that the air has overtaken does not count: scuff first.
            windows = ((first, last if last is None or last >= first else None),)
        return windows

    def _who(self, activity: Activity, choice: int) -> tuple[str, ...]:
        written = self._written[activity.id]
        if isinstance(written, (Step, Shot)) and not written.who.any_of:
            return written.who.people if activity.kind != "wait" else ()
        return activity.choices[choice].people[:1]

    def _work(self, activity: Activity, choice: int) -> int:
        timing = activity.choices[choice].timing
        if activity.state == "started" and isinstance(timing, Hands):
            return timing.work
        return activity.work

    def _sessions(self, activity: Activity, placed: Placed) -> tuple[tuple[int, int], ...]:
        if activity.kind == "parcel":
            begin = (
                max(placed.start, self.network.now) if activity.state != "open" else placed.start
            )
            return ((begin, placed.finish),) if placed.finish > begin else ()
        return placed.pieces

    def _own(
        self, activity: Activity, choice: int, early: int | None, late: int | None
    ) -> int | None:
        if early is None or late is None:
            return None
        timing = activity.choices[choice].timing
        return timing.own_minutes(early, late) if isinstance(timing, Hands) else late - early

    def _because(self, placed: Placed) -> Because | None:
        if not placed.reasons:
            return None
        reason, _ = placed.reasons[-1]
        kind: BecauseKind = reason.kind  # type: ignore[assignment]
        id = reason.id
        if id is not None and reason.episode not in (None, self.episode.id):
            id = f"{reason.episode}:{id}"
        return Because(kind, id)

    def _during(self, id: str, step: Activity) -> StepRow:
        """A shot filmed during a step: the step's start and finish, its own people."""
        row = self._row(step, "hands")
        shot = self._written[id]
        assert isinstance(shot, Shot)
        return replace(
            row,
            id=id,
            job="",
            title=shot.title,
            kind="shot",
            who=shot.who.people,
            once=shot.once,
            gear=shot.gear,
            # Whoever films stands beside the work.
            cautions=tuple(dict.fromkeys((*_cautions(shot), *row.cautions)))[:MOST],
            optional=shot.optional,
            of=step.id,
            note=shot.note,
            link=shot.link,
            place=shot.place,
        )

    def _dry(self, activity: Activity, coat_row: StepRow) -> StepRow:
        """The drying of a coat, from its finish to the latest stage that something waits for."""
        coat = activity.coat
        assert coat is not None
        stage = self.network.dries[activity.index].stage
        placed = self.planning.plan.placed[activity.index]
        start = None if placed is None else placed.finish
        finish = None if start is None else coat.stage_end(stage, start)
        now = self.network.now
        state: State = "open"
        if activity.state == "done":
            state = "done" if finish is not None and finish <= now else "started"
        early_start = early_finish = late_start = late_finish = None
        if activity.state != "done":
            early_start = coat_row.early_finish
            late_start = coat_row.late_finish
            early_finish = None if early_start is None else coat.stage_end(stage, early_start)
            late_finish = None if late_start is None else coat.stage_end(stage, late_start)
        elif state == "started":
            early_start = start
            early_finish = finish
            late_finish = self._late_drying(activity, stage)
            late_start = start if late_finish is not None else None
        slack = None if early_finish is None or late_finish is None else late_finish - early_finish
        session = (
            ((max(start, now) if state == "started" else start), finish)
            if start is not None and finish is not None and state != "done"
            else None
        )
        return StepRow(
            id=f"{activity.id}.dry",
            episode=activity.episode,
            job=activity.job,
            title=f"{activity.title}: dries",
            kind="dry",
            state=state,
            critical=activity.index in self.critical_dryings and state != "done",
            early_start=early_start,
            early_finish=early_finish,
            late_start=late_start,
            late_finish=late_finish,
            slack_min=slack,
            slack_work_min=slack,
            start=start,
            finish=finish,
            sessions=(session,) if session is not None and session[1] > session[0] else (),
            where=activity.where,
            because=None if state != "open" else Because("step", activity.id),
            work_min=0 if finish is None or start is None else finish - start,
            optional=activity.optional,
            after_release=activity.behind,
            place=activity.place,
        )

    def _late_drying(self, activity: Activity, stage: Stage) -> int | None:
        """The last moment at which a drying under way may be over with the release still met."""
        latest = NEVER
        row = self.network.dries[activity.index]
        scope = self.network.scope(activity.episode)
        if activity.index in scope.required and row.release_stage == stage:
            latest = scope.release
        for link in self.network.outgoing[activity.index]:
            if link.point == POINT[stage] and self.network.activities[link.succ].state != "done":
                late = (self.dates.late_finish if link.to_finish else self.dates.late_start)[
                    link.succ
                ]
                latest = min(latest, late - link.least)
        return _moment(latest)


def _cautions(written: Step | Shot | Parcel) -> tuple[str, ...]:
    if isinstance(written, Parcel):
        return ()
    coating = written.coating if isinstance(written, Step) else None
    of_coat = () if coating is None else coating.cautions
    return shown(written.caution, of_coat, written.known_cautions)


def _moment(value: int) -> int | None:
    return None if abs(value) >= NEVER else value
