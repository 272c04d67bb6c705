"""From recipes worked out for a room to the tables of an episode: who, where, after what.

What waits for what between recipes follows their rank: in one room, dust and wet walls come before
floors, floors before what is hung and put up, and that before the rug. A step of the workshop
waits for none of it. Around the builds stand the befores, clearing, styling, the reveal, the edit
and what follows the release.
"""

from collections import Counter
from collections.abc import Iterable, Mapping, Sequence
from typing import Any

from episodes.amounts import Estimate, length_as_written, length_in_words
from episodes.files.cautions import cautions_of
from episodes.files.plan_text import Block
from episodes.files.setting import Composed, Fitting, Setting
from episodes.files.shopping import parcels_of
from episodes.trade.builds import Build, BuiltShot, BuiltStep, sized_name
from episodes.trade.recipes import Link, Spot

ALONE = 1.8
"""Work for two done by one takes so much longer: common practice, no published source."""
_FITTING_OUT, _LAST = 50, 80
_BESIDE = range(1, 10)
"""Ranks of work that waits for no other job of the room."""
_CLEAR, _BEFORES, _STYLE = "clear-room", "befores", "clean-and-style"
_REVEAL, _STRING_OUT, _EDIT, _AFTER = (
    "reveal-shoot", "string-out", "edit-and-publish", "after-release",
)  # fmt: skip
_AROUND = frozenset((_CLEAR, _BEFORES, _STYLE, _REVEAL, _STRING_OUT, _EDIT, _AFTER))


def compose(
    builds: Sequence[Build],
    setting: Setting,
    fitting: Fitting,
    *,
    taken: Iterable[str] = (),
    jobs: Mapping[str, str] | None = None,
) -> Composed:
    """The tables for these builds.

    Args:
        builds: in any order; those around the build among them or not.
        taken: ids of the episode that are borne already.
        jobs: for an episode that is there already: its jobs that clear, style and edit the room,
            by id of the recipe.
    """
    return _Composer(setting, fitting, set(taken), dict(jobs or {})).all(builds)


class _Composer:
    def __init__(
        self, setting: Setting, fitting: Fitting, taken: set[str], there: dict[str, str]
    ) -> None:
        self.setting = setting
        self.fitting = fitting
        self.taken = taken | {"release"}
        self.job_of = there
        self.parcels: list[Block] = []
        self.shots: list[tuple[int, Block]] = []
        self._revealing: list[str] = []
        self._builds: list[str] = []

    def all(self, builds: Sequence[Build]) -> Composed:
        ordered = sorted(builds, key=lambda build: build.recipe.rank)
        named = [(build, self._free(build.recipe.job)) for build in ordered if build.steps]
        for build, job in named:
            self.job_of.setdefault(build.recipe.id, job)
        waits = self._waits(named)
        self._builds = [job for build, job in named if build.recipe.id not in _AROUND]
        for build in ordered:
            if not build.steps:
                self._room_shots(build)
        jobs = [self._job(build, job, waits.get(job, ())) for build, job in named]
        shots = [block for _, block in sorted(self.shots, key=lambda each: each[0])]
        return Composed(parcels=tuple(self.parcels), shots=tuple(shots), jobs=tuple(jobs))

    def _waits(self, named: Sequence[tuple[Build, str]]) -> dict[str, tuple[str, ...]]:
        """By job of the room: the jobs that must be over before its first step in the room."""
        phases: dict[int, list[str]] = {}
        for build, job in named:
            rank = build.recipe.rank
            if build.recipe.id not in _AROUND and rank not in _BESIDE:
                phases.setdefault(_phase(rank), []).append(job)
        clear = self.job_of.get(_CLEAR)
        before: tuple[str, ...] = (clear,) if clear is not None else ()
        waits: dict[str, tuple[str, ...]] = {}
        for phase in sorted(phases):
            for job in phases[phase]:
                waits[job] = before
            before = tuple(phases[phase])
        return waits

    def _job(self, build: Build, job: str, waits: tuple[str, ...]) -> Block:
        recipe = build.recipe
        usual_who = self._usual_who(build)
        home = self.setting.places[recipe.spot]
        entries: dict[str, Any] = {"id": job, "title": recipe.title}
        if usual_who is not None:
            entries["who"] = usual_who
        if home != self.setting.places["room"]:
            entries["where"] = home
        steps = self._steps(build, job, usual_who, home)
        after = self._around(recipe.id, steps)
        if waits:
            first = next(
                (i for i, s in enumerate(build.steps) if self._spot(s, build) == "room"), 0
            )
            step = self._first_part(steps, f"{build.steps[first].id}")
            if step is steps[0]:
                after += waits
            else:
                _wait_for(step, waits)
        if after:
            entries["after"] = list(after)
        if build.note:
            entries["note"] = build.note
        entries["step"] = steps
        self._purchases(build, job, steps)
        self._shots_of(build, job, steps)
        return Block(kind="job", entries=entries, comments=self._above(build))

    def _around(self, recipe: str, steps: list[dict[str, Any]]) -> tuple[str, ...]:
        """What the jobs around the build wait for."""
        clear = self.job_of.get(_CLEAR)
        done = tuple(self._builds) or ((clear,) if clear is not None else ())
        if recipe in (_STYLE, _STRING_OUT):
            return done
        if recipe == _EDIT:
            string_out = self.job_of.get(_STRING_OUT)
            cut = next((step for step in steps if step["id"] == "rough-cut"), None)
            if string_out is not None and cut is not None:
                _wait_for(cut, (string_out,))
            style = self.job_of.get(_STYLE)
            return tuple(self._revealing) or ((style,) if style is not None else ())
        return ()

    def _steps(self, build: Build, job: str, usual_who: Any, home: str) -> list[dict[str, Any]]:
        found: list[dict[str, Any]] = []
        split: dict[str, str] = {}
        for step in build.steps:
            parts = self.fitting.parts.get(f"{job}.{step.id}", 1)
            for part in range(1, parts + 1):
                found.append(self._step(build, job, step, part, parts, usual_who, home))
            if parts > 1:
                split[step.id] = f"{step.id}-part-{parts}"
        for entries in found:
            if "after" in entries:
                entries["after"] = [_renamed(link, split) for link in entries["after"]]
        return found

    def _step(
        self, build: Build, job: str, step: BuiltStep, part: int, parts: int,
        usual_who: Any, home: str,
    ) -> dict[str, Any]:  # fmt: skip
        recipe = step.recipe
        name = f"{job}.{step.id}"
        entries: dict[str, Any] = {"id": step.id, "title": recipe.title}
        if parts > 1:
            entries["id"] += f"-part-{part}"
            entries["title"] += f", part {part} of {parts}"
        if step.hands is not None:
            entries["hands"] = hands_as_written(self._length(step, parts))
            who = self._who(step)
            if who != usual_who:
                entries["who"] = who
        else:
            entries["wait"] = recipe.wait
        spot = "room" if name in self.fitting.in_the_room else self._spot(step, build)
        if self.setting.places[spot] != home:
            entries["where"] = self.setting.places[spot]
        if recipe.after is not None and part == 1:
            entries["after"] = [_link(link) for link in recipe.after]
        if recipe.coat is not None:
            entries["coat"] = recipe.coat
        surface = recipe.surface or ""
        if parts > 1 and recipe.coat is not None:
            surface = f"{surface}-{part}".lstrip("-")
        if surface:
            entries["surface"] = surface
        gear = {id: min(count, self.setting.gear.get(id, count)) for id, count in step.gear}
        if gear:
            entries["gear"] = list(gear) if set(gear.values()) == {1} else gear
        for key in ("makes", "needs_air", "does"):
            if getattr(recipe, key):
                entries[key] = list(getattr(recipe, key))
        if recipe.light is not None and name not in self.fitting.any_light:
            entries["light"] = recipe.light
        if recipe.one_go and name not in self.fitting.not_in_one_go:
            entries["one_go"] = True
        for key in ("alone", "opens_window"):
            if getattr(recipe, key):
                entries[key] = True
        if recipe.cautions:
            entries["caution"] = " ".join(each.text for each in cautions_of(recipe.cautions))
        if recipe.note:
            entries["note"] = recipe.note
        return entries

    def _length(self, step: BuiltStep, parts: int) -> Estimate:
        assert step.hands is not None
        factor = ALONE if step.recipe.who == "pair" and not self.setting.pair else 1.0
        return Estimate(*(
            max(5, round(minutes * factor / parts / 5) * 5)
            for minutes in (step.hands.low, step.hands.likely, step.hands.high)
        ))  # fmt: skip

    def _who(self, step: BuiltStep) -> Any:
        crew, people = step.recipe.who, self.setting.people
        if crew == "host":
            return [self.setting.host]
        if crew == "pair" and self.setting.pair:
            return list(people[:2])
        return {"any_of": list(people)} if len(people) > 1 else list(people)

    def _usual_who(self, build: Build) -> Any:
        """The people that most steps of the job ask for; None where nobody is needed."""
        asked = Counter(repr(self._who(step)) for step in build.steps if step.hands is not None)
        if not asked:
            return None
        most = asked.most_common(1)[0][0]
        return next(
            who for step in build.steps if step.hands and repr(who := self._who(step)) == most
        )

    def _spot(self, step: BuiltStep, build: Build) -> Spot:
        return step.recipe.spot or build.recipe.spot

    def _above(self, build: Build) -> tuple[str, ...]:
        recipe = build.recipe
        lines = [f"{sized_name(build)}, likely {length_in_words(build.hands.likely)} of work"]
        tools = dict.fromkeys(tool for step in build.steps for tool in step.recipe.tools)
        if tools:
            lines.append(f"Lay ready: {', '.join(tools)}.")
        parts = [
            f"{step.id} in {self.fitting.parts[name]} parts"
            for step in build.steps
            if (name := f"{self.job_of.get(recipe.id)}.{step.id}") in self.fitting.parts
        ]
        if parts:
            lines.append(f"Longer than any opening of your hours, so: {', '.join(parts)}.")
        return tuple(lines)

    def _purchases(self, build: Build, job: str, steps: list[dict[str, Any]]) -> None:
        for block, needed_for in parcels_of(build, job, self.setting.carriers, self._free):
            self.parcels.append(block)
            _wait_for(self._first_part(steps, needed_for), (block.id,))

    def _first_part(self, steps: list[dict[str, Any]], id: str) -> dict[str, Any]:
        """The step of this id or its first part; the job's first step where it fell out."""
        return next((step for step in steps if step["id"] in (id, f"{id}-part-1")), steps[0])

    def _shots_of(self, build: Build, job: str, steps: list[dict[str, Any]]) -> None:
        for shot in build.shots:
            of = job
            if shot.recipe.of:
                step = self._first_part(steps, shot.recipe.of)
                if shot.recipe.of not in (step["id"], step["id"].removesuffix("-part-1")):
                    continue
                of = f"{job}.{step['id']}"
            self.shots.append(
                (build.recipe.rank, self._shot(shot, self._free(f"{job}-{shot.id}"), of))
            )

    def _room_shots(self, build: Build) -> None:
        """The befores and the reveal: shots of the room as a whole, or of its job that says so."""
        before = self.job_of.get(_CLEAR)
        after = self.job_of.get(_STYLE)
        for shot in build.shots:
            of = before if shot.recipe.when == "before" else after
            block = self._shot(shot, self._free(shot.id), of)
            if shot.recipe.when != "before":
                self._revealing.append(block.id)
            self.shots.append((build.recipe.rank, block))

    def _shot(self, shot: BuiltShot, id: str, of: str | None) -> Block:
        recipe = shot.recipe
        entries: dict[str, Any] = {"id": id, "title": recipe.title}
        if of is not None:
            entries["of"] = of
        if recipe.when != "after":
            entries["when"] = recipe.when
        if recipe.when == "during":
            entries["who"] = []
        else:
            entries["hands"] = length_as_written(shot.hands)
            if self.setting.shot_defaults.get("who") != [self.setting.host]:
                entries["who"] = [self.setting.host]
            if recipe.light is not None and id not in self.fitting.any_light:
                entries["light"] = recipe.light
            if recipe.needs_air:
                entries["needs_air"] = list(recipe.needs_air)
            if id in self.fitting.not_in_one_go:
                entries["one_go"] = False
        if self.setting.shot_defaults.get("gear") != ["camera"]:
            entries["gear"] = ["camera"]
        if recipe.once:
            entries["once"] = True
        if recipe.cautions:
            entries["caution"] = " ".join(each.text for each in cautions_of(recipe.cautions))
        if recipe.note:
            entries["note"] = recipe.note
        return Block(kind="shot", entries=entries)

    def _free(self, wanted: str) -> str:
        """This id, or `wanted-2`, `wanted-3` ..: the first that nothing bears; now it is borne."""
        id, number = wanted, 1
        while id in self.taken:
            number += 1
            id = f"{wanted}-{number}"
        self.taken.add(id)
        return id


def hands_as_written(length: Estimate) -> str:
    """`2h..3h..6h`, or one value where all three are the same."""
    if length.certain:
        return length_as_written(length.likely)
    return "..".join(map(length_as_written, (length.low, length.likely, length.high)))


def _phase(rank: int) -> int:
    """Ranks that need not wait for one another are one phase."""
    return rank if rank < _FITTING_OUT or rank >= _LAST else _FITTING_OUT


def _link(link: Link) -> Any:
    return link.step if link.stage is None else {"step": link.step, "stage": link.stage}


def _renamed(link: Any, split: Mapping[str, str]) -> Any:
    """A link to a step that comes in parts is one to its last part."""
    if isinstance(link, str):
        return split.get(link, link)
    return {**link, "step": split.get(link["step"], link["step"])}


def _wait_for(step: dict[str, Any], names: Iterable[str]) -> None:
    """Let a step wait for these too, on top of the order it has."""
    key = "after" if "after" in step else "also_after"
    step[key] = [*step.get(key, ()), *names]
