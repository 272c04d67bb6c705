"""What must precede what: every entry of `after`, `before` and the rules of coats as links.

Dropped things are bridged: what waited for them waits for what they waited for, their gaps and
stages passed on. Things kept for a fallback are ignored. Rooms' shots (no `of`) come last, since
they wait for all the room's work that does not itself wait for them.
"""

from collections import defaultdict
from collections.abc import Iterator
from dataclasses import replace

from episodes.model.episode import After, Ref, Step
from episodes.network.activity import FINISH, POINT, START, Activity, Choice, Link
from episodes.network.draft import Draft
from episodes.network.entries import RELEASE, Entries, Key
from episodes.network.timing import Wait
from episodes.problems import Problem
from episodes.trade.products import Stage


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
        self.entries = Entries(draft)

    def build(self) -> "LinkBuilder":
        self._release_marks()
        for activity in list(self.draft.activities):
            if activity.id != RELEASE:
                for after in self.entries.of(activity.key):
                    self._apply(activity, after, 0)
        self._coats()
        self._room_shots()
        return self

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

    # -- entries to links ----------------------------------------------------------------------

    def _apply(
        self, succ: Activity, after: After, added: int, asker: Key | None = None, depth: int = 0
    ) -> None:
        """Add the links of one entry.

        Args:
            added: minutes from gaps of bridged steps.
            asker: what is bridged and had this entry; None where it is the successor's own.
        """
        for key in self._targets(after.target):
            if key in self.draft.index:
                self._link(succ, self.draft.activities[self.draft.index[key]], after, added, asker)
            elif key in self.draft.during and self.draft.during[key] >= 0:
                step = self.draft.activities[self.draft.during[key]]
                self._link(succ, step, after, added, asker)
            elif self.draft.absent.get(key) == "dropped" and depth < 500:
                for entry in self.entries.of(key):
                    if not entry.plain:
                        # Gaps and stages pass on; how soon it had to follow goes with it.
                        entry = replace(entry, gap=entry.gap or 0, within=None, or_after=None)
                    self._apply(succ, entry, added + (after.gap or 0), key, depth + 1)

    def _targets(self, ref: Ref) -> Iterator[Key]:
        if ref.kind == "job":
            job = self.entries.jobs[ref.episode, ref.id]
            for step in job.steps:
                yield ref.episode, step.id
            return
        key = (ref.episode, RELEASE if ref.kind == "release" else ref.id)
        followed = 0
        while key in self.draft.replaced and followed < 100:
            key = (key[0], self.draft.replaced[key])
            followed += 1
        yield key

    def _link(
        self,
        succ: Activity,
        pred: Activity,
        after: After,
        added: int,
        asker: Key | None = None,
    ) -> None:
        if succ.index == pred.index:
            if after.target.kind != "job":
                self._circle(pred, after)
            return
        place = after.place
        least = (after.gap or 0) + added
        point = START if after.from_start else FINISH
        if pred.coat is not None:
            stage = None if asker is None else self._stage(asker, pred, after)
            if stage is None:
                stage = self._stage(succ.key, pred, after)
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

    def _stage(self, succ: Key, pred: Activity, after: After) -> Stage | None:
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
        if succ not in self.entries.steps:
            return None
        job, under = self.entries.steps[pred.key]
        owner, over = self.entries.steps[succ]
        if owner is job:
            if over.coating is not None:
                return None
            first, second = job.at(under.id), job.at(over.id)
            assert first is not None
            assert second is not None
            if first < second and any(
                later.coating is not None
                and later.surface == under.surface
                and (pred.episode, later.id) in self.draft.index
                for later in job.behind(over.id)
            ):
                return self._recoat_stage(pred)
        return "handle"

    @staticmethod
    def _recoat_stage(coat: Activity) -> Stage:
        assert coat.coat is not None
        return "recoat" if "recoat" in coat.coat.times else "handle"

    # -- coats and rooms --------------------------------------------------------------------

    def _coats(self) -> None:
        for (episode, _), job in self.entries.jobs.items():
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
            for key, shot in self.entries.shots.items()
            if shot.of is None and key in self.draft.index and shot.when != "during"
        ]
        for key, shot in shots:
            episode = self.entries.episodes[key[0]]
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
