"""Keys that write: done, arrived, ordered, taken, keep what is tried, undo, the calendar file.

Every one of them says in the foot what it wrote and what became of the release, and can be taken
back with one key. Nothing is asked that can be taken back.
"""

from collections.abc import Callable
from typing import TYPE_CHECKING, Literal

from episodes.answers.rows import EpisodeAnswer, StepRow
from episodes.problems import EpisodesError
from episodes.screens import wording
from episodes.screens.facts import Fact, Files, NotWritten, wall_time
from episodes.screens.page import Key, key

if TYPE_CHECKING:
    from episodes.screens.app import EpisodesApp
    from episodes.screens.engine import Taken


_FAILURES = (
    ("damaged", "it cannot be used"),
    ("wrong", "not what was ordered"),
    ("short", "not all of it"),
)


class Keeping:
    """Writes what the user says has happened, through the season's files."""

    def __init__(self, app: "EpisodesApp", files: Files) -> None:
        self._app = app
        self._files = files

    def keys(self) -> tuple[Key, ...]:
        return (
            key(
                "d",
                shown="d",
                text="this step is done, as of now",
                run=lambda _: self.done(),
            ),
            key("s", shown="s", text="this step is started now", run=lambda _: self.started()),
            key(
                "a",
                shown="a",
                text="this box is in hand, as of now",
                run=lambda _: self.parcel("arrived"),
            ),
            key(
                "o",
                shown="o",
                text="this box is ordered, as of now",
                run=lambda _: self.parcel("ordered"),
            ),
            key(
                "space",
                shown="Space",
                text="this shot is taken, as of now",
                run=lambda _: self.taken(),
            ),
            key(
                "u",
                shown="u U",
                text="take back what was written last; U writes it again",
                run=lambda _: self.undo(),
            ),
            key("U", "shift+u", run=lambda _: self.redo()),
            key(
                "x",
                shown="x",
                text="write plan.ics, a calendar file, into the season's folder",
                run=lambda _: self.calendar(),
            ),
        )

    def hints(self) -> tuple[tuple[str, str], ...]:
        """The facts that the selected row could have, for the key line."""
        target = self._app.page.target()
        kind = target.kind if target else "episode"
        facts: dict[str, tuple[tuple[str, str], ...]] = {
            "step": (("d", "done"), ("s", "started")),
            "parcel": (("a", "arrived"), ("o", "ordered")),
            "shot": (("Space", "taken"),),
        }
        return (*facts.get(kind, ()), ("u", "undo"), ("x", "calendar"))

    # -- facts

    def _row(self) -> tuple[EpisodeAnswer, StepRow] | None:
        target = self._app.page.target()
        episode = self._app.sitting.before(target.episode) if target else None
        if target is None or episode is None or not target.id:
            return None
        return episode, episode.step(target.id)

    def done(self) -> None:
        found = self._row()
        if found is None or found[1].kind not in ("hands", "wait"):
            hint = {"parcel": "a says a box arrived.", "shot": "Space says a shot is taken."}
            kind = found[1].kind if found else ""
            self._app.say(f"Only a step can be done. {hint.get(kind, '')}".strip())
            return
        self._happened(*found, "step", "done", "done")

    def started(self) -> None:
        found = self._row()
        if found is None or found[1].kind not in ("hands", "wait"):
            self._app.say("Only a step can be started.")
            return
        if found[1].state == "started":
            self._app.say(f"{found[1].title} is started already.")
            return
        self._happened(*found, "step", "started", "started")

    def taken(self) -> None:
        found = self._row()
        if found is None or found[1].kind != "shot":
            self._app.say("Only a shot can be taken.")
            return
        self._happened(*found, "shot", "taken", "taken")

    def footage(self, what: Literal["backed_up", "lost"]) -> None:
        """That a shot taken has a second copy, or that its footage is gone."""
        found = self._row()
        line = next(
            (
                line
                for line in self._app.sitting.shots
                if found is not None and (line.episode, line.row.id) == (found[0].id, found[1].id)
            ),
            None,
        )
        if found is None or line is None or not line.taken:
            self._app.say("Only a shot that is taken can be copied or lost.")
            return
        if what == "backed_up" and line.backed_up:
            self._app.say(f"{found[1].title} has a copy already.")
            return
        moment = self._files.moment()
        value: object = True
        said = f"{found[1].title} has a second copy"
        if what == "lost":
            value = wall_time(moment, self._app.sitting.zone).date()
            said = f"{found[1].title} lost {self._app.sitting.words.day(moment)}"
        self._write(
            [Fact(episode=found[0].id, kind="shot", id=found[1].id, key=what, value=value)], said
        )

    def parcel(self, what: str) -> None:
        found = self._row()
        if found is None or found[1].kind != "parcel":
            self._app.say(f"Only a box can be {what}.")
            return
        box = found[0].parcel(found[1].id)
        if box.arrived is not None or (what == "ordered" and box.ordered is not None):
            already = "in hand" if box.arrived is not None else "ordered"
            self._app.say(f"{box.title} is {already} already.")
            return
        self._happened(*found, "parcel", what, what)

    def box(self, what: Literal["failed", "returned"]) -> None:
        """That a box is no use, asked how; or that it was sent back."""
        app, found = self._app, self._row()
        if found is None or found[1].kind != "parcel":
            app.say(f"Only a box can be {what}.")
            return
        episode, row = found
        box = episode.parcel(row.id)
        moment = self._files.moment()
        now = wall_time(moment, app.sitting.zone)

        def fact(key: str, value: object) -> Fact:
            return Fact(episode=episode.id, kind="parcel", id=row.id, key=key, value=value)

        if what == "returned":
            if box.arrived is None:
                app.say(f"{box.title} has not come yet; there is nothing to send back.")
            else:
                said = f"{box.title} sent back {app.sitting.words.moment(moment)}"
                self._write([fact("returned", now.date())], said)
            return
        from episodes.screens.picker import Choice, Picker

        hows = [Choice(f"{how}: {text}", how, key=how[0]) for how, text in _FAILURES]

        def chosen(how: object) -> None:
            if isinstance(how, str):
                here = [] if box.arrived is not None else [fact("arrived", now)]
                self._write([*here, fact("failed", how)], f"{box.title} came {how}")
            app.paint()

        app.push_screen(Picker(f"{box.title}: what is wrong with it?", hows, app.marks), chosen)

    def _happened(
        self, episode: EpisodeAnswer, row: StepRow, kind: str, fact: str, verb: str
    ) -> None:
        name = wording.name_of(episode, row)
        if row.state == "done":
            self._app.say(f"{name} is {verb} already.")
            return
        moment = self._files.moment()
        value = wall_time(moment, self._app.sitting.zone)
        said = f"{name} {verb} {self._app.sitting.words.moment(moment)}"
        self._write([Fact(episode=episode.id, kind=kind, id=row.id, key=fact, value=value)], said)

    # -- what is tried

    def keep(self) -> None:
        """Writes what is tried: arrivals as the days now promised, then ways out as the plan."""
        sitting = self._app.sitting
        if not sitting.trying:
            self._app.say("Nothing is being tried.")
            return
        taken = list(sitting.taken)
        if sitting.moved and not self._keep_arrivals(taken):
            return
        if taken:
            self._adopt(taken)

    def _keep_arrivals(self, taken: "list[Taken]") -> bool:
        """Writes the tried arrivals; `taken` goes on being tried."""
        sitting = self._app.sitting
        facts = [
            Fact(
                episode=episode,
                kind="parcel",
                id=id,
                key="promised",
                value=wall_time(arrival, sitting.zone),
            )
            for (episode, id), arrival in sitting.moved.items()
        ]
        boxes = [sitting.base.episode(episode).parcel(id) for episode, id in sitting.moved]
        said = "; ".join(
            f"{box.title} promised {sitting.words.moment(arrival)}"
            for box, arrival in zip(boxes, sitting.moved.values(), strict=True)
        )
        moved = dict(sitting.moved)
        sitting.moved.clear()
        sitting.taken = []
        if self._write(facts, said):
            return True
        self._app.sitting.take_over(moved, taken)
        return False

    def _adopt(self, taken: "list[Taken]") -> None:
        """Writes ways out, an episode's as one change."""
        app = self._app
        for episode in dict.fromkeys(episode for episode, _ in taken):
            ways = [way for room, way in taken if room == episode]
            before = app.sitting.before(episode)
            changes = [each for way in ways for each in app.sitting.engine.changes(episode, way)]
            titles = dict.fromkeys(title for way in ways for title in way.titles)
            said = f"way out taken: {' + '.join(titles)}"
            try:
                self._files.adopt(episode, changes, said)
            except NotWritten as error:
                app.say(f"Not written: {error}")
                return
            app.sitting.taken = [each for each in app.sitting.taken if each[0] != episode]
            if app.read_again():
                after = app.sitting.before(episode)
                change = _change(before, after) if before and after else ""
                app.say(f"Written: {said}.", change)

    def promote(self, idea: str, title: str, release: int) -> None:
        """Gives a room without a month that of a release."""
        app = self._app
        month = f"{wall_time(release, app.sitting.zone):%Y-%m}"
        said = f"{title} is the room of {app.sitting.words.day(release)}"
        try:
            self._files.promote(idea, month, said)
        except NotWritten as error:
            app.say(f"Not written: {error}")
            return
        if app.read_again():
            app.sitting.room = f"{month}-{idea}"
            app.rebuild()
            app.say(f"Written: {said}.", "Its plan is on the Run-up; u takes it back.")

    def guess(self, episode: str, id: str, key: str, value: str, first: str, said: str) -> None:
        """Writes another range for something that is to come."""
        kind = "parcel" if key == "lead" else "step" if "." in id else "shot"
        facts = [
            Fact(episode=episode, kind=kind, id=id, key=key, value=value),
            Fact(episode=episode, kind=kind, id=id, key="guessed", value=first),
        ]
        self._write(facts, said)

    def put_back(self) -> None:
        """Drops what is tried, from any page."""
        if self._app.sitting.put_back():
            self._app.solve_soon()

    # -- writing

    def _write(self, facts: list[Fact], said: str) -> bool:
        app = self._app
        room = facts[0].episode
        before = app.sitting.base.episode(room)
        try:
            self._files.write(facts, said)
        except NotWritten as error:
            app.say(f"Not written: {error}")
            return False
        if app.read_again():
            after = app.sitting.before(room)
            app.say(f"Written: {said}.", _change(before, after) if after else "")
        return True

    def undo(self) -> None:
        self._again(self._files.undo, "Taken back")

    def redo(self) -> None:
        self._again(self._files.redo, "Written again")

    def _again(self, act: Callable[[], str], word: str) -> None:
        try:
            said = act()
        except NotWritten as error:
            self._app.say(f"{str(error)[:1].upper()}{str(error)[1:]}.")
            return
        was = self._app.sitting.before()
        if self._app.read_again():
            now = self._app.sitting.before()
            same = was is not None and now is not None and was.id == now.id
            self._app.say(f"{word}: {said}.", _change(was, now) if was and now and same else "")

    def calendar(self) -> None:
        """Writes the calendar file of the season as the files have it, not as it is tried."""
        sitting = self._app.sitting
        try:
            earlier = self._files.calendar_there()
            data, summary = sitting.engine.calendar(earlier, sitting.now)
            path = self._files.put_calendar(data)
        except EpisodesError as error:
            self._app.say(f"No calendar written: {error}")
            return
        self._app.say(f"Calendar written: {path} ({summary})")


def _change(before: EpisodeAnswer, after: EpisodeAnswer) -> str:
    """What became of the release."""
    was, now = wording.verdict(before), wording.verdict(after)
    return f"Still {now}." if was == now else f"Now {now}; was {was}."
