"""What each thing waits for, in the user's own entries: `after`, file order, `before`, shots.

An entry stays as it was written; turning it into links, stages and bridges is the next step.
"""

from collections import defaultdict
from collections.abc import Iterator

from episodes.model.episode import After, Episode, Job, Parcel, Ref, Shot, Step
from episodes.network.draft import Draft

Key = tuple[str, str]
RELEASE = "release"


class Entries:
    """Looks up, for every step, shot and parcel of a drafted season, what it waits for."""

    def __init__(self, draft: Draft) -> None:
        self.draft = draft
        self.steps: dict[Key, tuple[Job, Step]] = {}
        self.jobs: dict[Key, Job] = {}
        self.shots: dict[Key, Shot] = {}
        self.parcels: dict[Key, Parcel] = {}
        self.episodes: dict[str, Episode] = {}
        self._pushed: dict[Key, list[After]] = defaultdict(list)
        for episode in draft.season.episodes:
            self.episodes[episode.id] = episode
            for job in episode.jobs:
                self.jobs[episode.id, job.id] = job
                for step in job.steps:
                    self.steps[episode.id, step.id] = (job, step)
            for shot in episode.shots:
                self.shots[episode.id, shot.id] = shot
            for parcel in episode.parcels:
                self.parcels[episode.id, parcel.id] = parcel
        self._push_before()

    def _push_before(self) -> None:
        """`before` of steps and shots, and what shots hold back, as entries of the later end."""
        for (episode, id), (_, step) in self.steps.items():
            here = Ref("step", episode, id)
            for ref in step.before:
                self._push(ref, After(target=here, place=step.place), whole=False)
        for (episode, id), shot in self.shots.items():
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
                job, step = self.steps[shot.of.episode, shot.of.id]
                for other in job.behind(step.id):
                    if other.hands is not None:
                        self._pushed[shot.of.episode, other.id].append(entry)

    def _push(self, ref: Ref, entry: After, *, whole: bool) -> None:
        if ref.kind == "job":
            job = self.jobs[ref.episode, ref.id]
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
        target = after.target
        return target.kind == "step" and target.id != step.id and job.at(target.id) is not None

    def _before_in_file(self, episode: str, job: Job, step: Step) -> Step | None:
        place = job.at(step.id)
        assert place is not None
        for at in range(place - 1, -1, -1):
            other = job.steps[at]
            if self.draft.absent.get((episode, other.id)) != "spare":
                return other
        return None

    def _tied(self, episode: str, step: Step, before: Step) -> bool:
        """A wait whose gear stays on from the hands-on step before it: clamps on glue."""
        if step.wait is None or before.hands is None or (episode, before.id) in self.draft.absent:
            return False
        return bool({name for name, _ in step.gear} & {name for name, _ in before.gear})

    def of(self, key: Key) -> Iterator[After]:
        """All that a step, shot or parcel waits for, in the user's own entries."""
        episode = key[0]
        if key in self.steps:
            job, step = self.steps[key]
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
        elif key in self.shots:
            shot = self.shots[key]
            if shot.of is not None and shot.when == "after":
                yield After(target=shot.of, place=shot.place)
            yield from shot.after
        elif key in self.parcels:
            yield from self.parcels[key].after
        yield from self._pushed.get(key, ())
