"""What must precede what: every entry of `after`, `before` and the rules of coats as links.

Dropped things are bridged: what waited for them waits for what they waited for, their gaps and
stages passed on. Things kept for a fallback are ignored. Rooms' shots (no `of`) come last, since
they wait for all the room's work that does not itself wait for them.
"""

from collections import defaultdict
from collections.abc import Iterator
from dataclasses import replace

from episodes.model.episode import After, Episode, Job, Parcel, Ref, Shot, Step
from episodes.network.activity import FINISH, POINT, START, Activity, Choice, Link
from episodes.network.draft import Draft
from episodes.network.timing import Wait
from episodes.problems import Problem
from episodes.trade.products import Stage

Key = tuple[str, str]
RELEASE = "release"


class LinkBuilder:
    """Builds the links of a drafted season.

    Attributes:
        needed: stages that something waits for, by number of the coat, with the number of what
            waits.
    """

    def __init__(self, draft: Draft) -> None:
        self.draft = draft
        self.links: list[Link] = []
        self.needed: dict[int, list[tuple[Stage, int]]] = defaultdict(list)
        self._seen: set[Link] = set()
        self._steps: dict[Key, tuple[Job, Step]] = {}
        self._jobs: dict[Key, Job] = {}
        self._shots: dict[Key, Shot] = {}
        self._parcels: dict[Key, Parcel] = {}
        self._episode: dict[str, Episode] = {}
        self._pushed: dict[Key, list[After]] = defaultdict(list)
        for episode in draft.season.episodes:
            self._episode[episode.id] = episode
            for job in episode.jobs:
                self._jobs[episode.id, job.id] = job
                for step in job.steps:
                    self._steps[episode.id, step.id] = (job, step)
            for shot in episode.shots:
                self._shots[episode.id, shot.id] = shot
            for parcel in episode.parcels:
                self._parcels[episode.id, parcel.id] = parcel

    def build(self) -> "LinkBuilder":
        self._release_marks()
        self._push_before()
        for activity in list(self.draft.activities):
            if activity.id != RELEASE:
                for after in self._entries(activity.key):
                    self._apply(activity, after, 0)
        self._coats()
        self._room_shots()
        return self

    # -- gathering entries ---------------------------------------------------------------------

    def _release_marks(self) -> None:
        """The release of every episode as a fixed moment that others may wait for."""
        for episode in self.draft.season.episodes:
            moment = episode.released if episode.released is not None else episode.release
            self.draft.add(
                Activity(
                    index=len(self.draft.activities),
                    key=(episode.id, RELEASE),
                    kind="wait",
                    state="done",
                    title="Release",
                    choices=(Choice((), Wait(0)),),
                    fact_start=moment,
                    fact_finish=moment,
                    required=False,
                    place=episode.place,
                )
            )

    def _push_before(self) -> None:
        """`before` of steps and shots, and what shots hold back, as entries of the later end."""
        for (episode, id), (_, step) in self._steps.items():
            here = Ref("step", episode, id)
            for ref in step.before:
                self._push(ref, After(target=here, place=step.place), whole=False)
        for (episode, id), shot in self._shots.items():
            if self.draft.absent.get((episode, id)) is not None:
                # Dropped, lost or spare: it holds nothing back any more.
                continue
            entry = After(target=Ref("shot", episode, id), place=shot.place)
            for ref in shot.before:
                self._push(ref, entry, whole=False)
            if shot.of is None:
                continue
            if shot.when == "before":
                self._push(shot.of, entry, whole=True)
            elif shot.when == "after" and shot.once and shot.of.kind == "step":
                job, step = self._steps[shot.of.episode, shot.of.id]
                later = job.steps[job.steps.index(step) + 1 :]
                for other in later:
                    if other.hands is not None:
                        self._pushed[shot.of.episode, other.id].append(entry)

    def _push(self, ref: Ref, entry: After, *, whole: bool) -> None:
        if ref.kind == "job":
            job = self._jobs[ref.episode, ref.id]
            for step in job.steps:
                if whole or self._is_first(ref.episode, job, step):
                    self._pushed[ref.episode, step.id].append(entry)
        elif ref.kind != "release":
            self._pushed[ref.episode, ref.id].append(entry)

    def _is_first(self, episode: str, job: Job, step: Step) -> bool:
        """Whether a step has no predecessor in its own job."""
        if step.after is None:
            # In file order it follows the step before it; a spare one there does not count.
            if self._before_in_file(episode, job, step) is not None:
                return False
        elif any(self._in_job(after, job, step) for after in step.after):
            return False
        return not any(self._in_job(after, job, step) for after in step.also_after)

    @staticmethod
    def _in_job(after: After, job: Job, step: Step) -> bool:
        mine = {other.id for other in job.steps}
        return (
            after.target.kind == "step" and after.target.id in mine and after.target.id != step.id
        )

    def _before_in_file(self, episode: str, job: Job, step: Step) -> Step | None:
        place = job.steps.index(step)
        for other in reversed(job.steps[:place]):
            if self.draft.absent.get((episode, other.id)) != "spare":
                return other
        return None

    def _tied(self, episode: str, step: Step, before: Step) -> bool:
        """A wait whose gear stays on from the hands-on step before it: clamps on glue."""
        if step.wait is None or before.hands is None or (episode, before.id) in self.draft.absent:
            return False
        return bool({name for name, _ in step.gear} & {name for name, _ in before.gear})

    def _entries(self, key: Key) -> Iterator[After]:
        """All that a step, shot or parcel waits for, in the user's own entries."""
        episode = key[0]
        if key in self._steps:
            job, step = self._steps[key]
            if step.after is None:
                earlier = self._before_in_file(episode, job, step)
                if earlier is not None:
                    yield After(
                        target=Ref("step", episode, earlier.id),
                        within=0 if self._tied(episode, step, earlier) else None,
                        place=step.place,
                    )
            else:
                yield from step.after
            yield from step.also_after
            if self._is_first(episode, job, step):
                yield from job.after
        elif key in self._shots:
            shot = self._shots[key]
            if shot.of is not None and shot.when == "after":
                yield After(target=shot.of, place=shot.place)
            yield from shot.after
        elif key in self._parcels:
            yield from self._parcels[key].after
        yield from self._pushed.get(key, ())

    # -- entries to links ----------------------------------------------------------------------

    def _apply(self, succ: Activity, after: After, added: int, depth: int = 0) -> None:
        """Add the links of one entry; `added` minutes come from gaps of bridged steps."""
        for key in self._targets(after.target):
            if key in self.draft.index:
                self._link(succ, self.draft.activities[self.draft.index[key]], after, added)
            elif key in self.draft.during and self.draft.during[key] >= 0:
                step = self.draft.activities[self.draft.during[key]]
                self._link(succ, step, after, added)
            elif self.draft.absent.get(key) == "dropped" and depth < 500:
                for entry in self._entries(key):
                    self._apply(succ, entry, added + (after.gap or 0), depth + 1)

    def _targets(self, ref: Ref) -> Iterator[Key]:
        if ref.kind == "job":
            job = self._jobs[ref.episode, ref.id]
            for step in job.steps:
                yield ref.episode, step.id
            return
        key = (ref.episode, RELEASE if ref.kind == "release" else ref.id)
        followed = 0
        while key in self.draft.replaced and followed < 100:
            key = (key[0], self.draft.replaced[key])
            followed += 1
        yield key

    def _link(self, succ: Activity, pred: Activity, after: After, added: int) -> None:
        if succ.index == pred.index:
            if after.target.kind != "job":
                self._circle(pred, after)
            return
        place = after.place
        least = (after.gap or 0) + added
        point = START if after.from_start else FINISH
        if pred.coat is not None:
            stage = self._stage(succ, pred, after)
            if stage is not None:
                self.needed[pred.index].append((stage, succ.index))
                extra = added if after.plain else 0
                self._add(
                    Link(
                        pred=pred.index,
                        succ=succ.index,
                        point=POINT[stage],
                        to_finish=after.to_finish,
                        least=extra,
                        place=place,
                    )
                )
                if after.plain:
                    return
        self._add(
            Link(
                pred=pred.index,
                succ=succ.index,
                point=point,
                to_finish=after.to_finish,
                least=least,
                most=after.within,
                or_point=point if after.or_after is not None else None,
                or_gap=after.or_after or 0,
                place=place,
            )
        )

    def _circle(self, activity: Activity, after: After) -> None:
        self.draft.faults.append(
            Problem(
                level="error",
                code="circle",
                where=after.place,
                text=f'"{activity.id}" waits for itself.',
                mend="Take its own name out of its after.",
                subject=activity.id,
            )
        )

    def _stage(self, succ: Activity, pred: Activity, after: After) -> Stage | None:
        """Which drying stage an entry waits for; None where it follows the coat itself."""
        if after.stage is not None:
            if pred.coat is not None and after.stage not in pred.coat.times:
                self.draft.faults.append(
                    Problem(
                        level="error",
                        code="no-such-stage",
                        where=after.place,
                        text=f'"{pred.id}" has no stage "{after.stage}".',
                        mend=f"It has {', '.join(pred.coat.times)}.",
                        subject=pred.id,
                    )
                )
                return None
            return after.stage
        if not after.plain or after.from_start:
            return None
        if after.target.kind == "job":
            return "handle"
        if succ.kind in ("shot", "parcel"):
            return None
        if succ.job == pred.job and succ.episode == pred.episode:
            job, under = self._steps[pred.key]
            _, over = self._steps[succ.key]
            if over.coating is not None:
                return None
            behind = job.steps.index(over)
            if job.steps.index(under) < behind and any(
                later.coating is not None
                and later.surface == under.surface
                and (pred.episode, later.id) in self.draft.index
                for later in job.steps[behind + 1 :]
            ):
                return self._recoat_stage(pred)
        return "handle"

    @staticmethod
    def _recoat_stage(coat: Activity) -> Stage:
        assert coat.coat is not None
        return "recoat" if "recoat" in coat.coat.times else "handle"

    # -- coats and rooms --------------------------------------------------------------------

    def _coats(self) -> None:
        for (episode, _), job in self._jobs.items():
            active = [step for step in job.steps if (episode, step.id) in self.draft.index]
            last: dict[str, int] = {}
            for place, step in enumerate(active):
                activity = self.draft.activities[self.draft.index[episode, step.id]]
                if place + 1 < len(active):
                    following = self.draft.index[episode, active[place + 1].id]
                    self.draft.activities[activity.index] = replace(activity, next_in_job=following)
                if step.coating is not None:
                    if step.surface in last:
                        between = active[last[step.surface] + 1 : place]
                        under = active[last[step.surface]]
                        self._coat_over(episode, under, step, between)
                    last[step.surface] = place

    def _coat_over(self, episode: str, under: Step, over: Step, between: list[Step]) -> None:
        """The recoat rules of the coat underneath, for the next coat of its surface."""
        pred = self.draft.index[episode, under.id]
        succ = self.draft.index[episode, over.id]
        coat = self.draft.activities[pred].coat
        assert coat is not None
        stage = self._recoat_stage(self.draft.activities[pred])
        self.needed[pred].append((stage, succ))
        opened = any(step.opens_window for step in between)
        coating = coat.coating
        if coating.window_until is not None:
            self._add(
                Link(
                    pred=pred,
                    succ=succ,
                    most=coating.window_until,
                    or_point=POINT[stage],
                    recoat=True,
                    place=over.place,
                )
            )
            return
        self._add(Link(pred=pred, succ=succ, point=POINT[stage], place=over.place))
        if coating.recoat_by is not None and not opened:
            self._add(
                Link(
                    pred=pred,
                    succ=succ,
                    most=coating.recoat_by,
                    void_after=POINT[stage],
                    recoat=True,
                    place=over.place,
                )
            )

    def _room_shots(self) -> None:
        """Shots of the room as a whole: before, or after, all its required work there."""
        shots = [
            (key, shot)
            for key, shot in self._shots.items()
            if shot.of is None and key in self.draft.index and shot.when != "during"
        ]
        for key, shot in shots:
            episode = self._episode[key[0]]
            activity = self.draft.activities[self.draft.index[key]]
            later = self._reach(activity.index, forward=True)
            earlier = self._reach(activity.index, forward=False)
            behind = self._behind(episode.id)
            entry_place = shot.place
            for other in list(self.draft.activities):
                if (
                    other.episode != episode.id
                    or other.id == RELEASE
                    or other.kind in ("shot", "parcel")
                    or other.where != episode.room
                    or episode.room is None
                    or other.optional
                    or other.index in behind
                ):
                    continue
                if shot.when == "after" and other.index not in later:
                    target = Ref("step", episode.id, other.id)
                    self._room_link(activity, other, After(target=target, place=entry_place))
                elif shot.when == "before" and other.index not in earlier:
                    target = Ref("shot", episode.id, shot.id)
                    self._link(other, activity, After(target=target, place=entry_place), 0)

    def _room_link(self, shot: Activity, step: Activity, after: After) -> None:
        """A shot of the finished room waits for the room's coats to be handled, like a job."""
        if step.coat is not None:
            self.needed[step.index].append(("handle", shot.index))
            self._add(
                Link(pred=step.index, succ=shot.index, point=POINT["handle"], place=after.place)
            )
            return
        self._link(shot, step, after, 0)

    def _behind(self, episode: str) -> set[int]:
        return self._reach(self.draft.index[episode, RELEASE], forward=True)

    def _reach(self, index: int, *, forward: bool) -> set[int]:
        neighbours: dict[int, list[int]] = defaultdict(list)
        for link in self.links:
            if forward:
                neighbours[link.pred].append(link.succ)
            else:
                neighbours[link.succ].append(link.pred)
        found: set[int] = set()
        open_ends = [index]
        while open_ends:
            for other in neighbours[open_ends.pop()]:
                if other not in found:
                    found.add(other)
                    open_ends.append(other)
        return found

    def _add(self, link: Link) -> None:
        bare = replace(link, place=None)
        if bare not in self._seen:
            self._seen.add(bare)
            self.links.append(link)
