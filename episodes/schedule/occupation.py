"""What an activity takes from people, gear, places and air if it starts at a given moment.

One `Task` says it for one activity, whatever the start, as the very objects that keep what is
taken; `Site` makes the tasks of a network and holds all of it. The same site serves the planner's
forward and backward placing.
"""

from dataclasses import dataclass

from episodes.calendars.openings import Stretch
from episodes.calendars.working_time import NEVER
from episodes.model.studio import BEARS_NOT, AirBorne
from episodes.network.activity import ALL_PLACES, FINISH, Activity, Coat, Link, Network
from episodes.network.timing import Hands, Timing, Wait
from episodes.schedule.resources import Holder, Levels, Log, Stretches, Taken


@dataclass(slots=True, eq=False)
class Task:
    """One activity with all that placing it has to look at.

    Attributes:
        choices: by choice of people, how its time runs, what keeps each one's minutes, and its
            minutes (-1 for a parcel).
        plain: minutes of a wait that looks at nothing but links and levels; -1 for all else.
        earliest: least start, a fixed start included.
        simple: (predecessor, gap) of links from a finish to the start.
        other: all further links that bound the start from below.
        windows: links that bound it from above, or bound the finish.
        tied: waits that must begin the minute it is finished.
        need: packed gear and places from start to finish.
        drying: packed place that its coat holds while it dries; 0 for none.
        frees: the coat whose drying place its start frees; -1 for none.
        air: by what it cannot bear, where that is kept; True where its coat bears it until touch.
        makes: by what it makes, (where that must not be, linger) of all spaces it is felt in, the
            stretches to add it to, and True where its coat goes on making it until touch.
    """

    activity: Activity
    choices: tuple[tuple[Timing, tuple[Taken, ...], int], ...]
    earliest: int
    latest_finish: int
    at: int | None
    parcel: bool
    plain: int = -1
    simple: tuple[tuple[int, int], ...] = ()
    other: tuple[Link, ...] = ()
    windows: tuple[Link, ...] = ()
    tied: tuple[int, ...] = ()
    need: int = 0
    drying: int = 0
    frees: int = -1
    coat: Coat | None = None
    air: tuple[tuple[Stretches, Stretches, bool], ...] = ()
    makes: tuple[tuple[tuple[tuple[Stretches, Stretches, int], ...], bool], ...] = ()


class Site:
    """People, gear, places and air of a season, and what is taken of them so far."""

    def __init__(self, network: Network) -> None:
        self.network = network
        self.log = Log()
        self.people = {person.id: Taken() for person in network.season.studio.people}
        self.levels = Levels(
            self._limits(), over=sum(1 for a in network.activities if a.state != "open")
        )
        self.bad: dict[tuple[str, AirBorne], Stretches] = {}
        self.needed: dict[tuple[str, AirBorne], Stretches] = {}
        self.holds: dict[int, Stretch] = {}
        """Places held by drying coats, by number of the coat."""

    def _limits(self) -> dict[Holder, int]:
        network = self.network
        limits: dict[Holder, int] = {("gear", name): n for name, n in network.gear_of.items()}
        used: dict[str, int] = {}
        alone: set[str] = set()
        for activity in network.activities:
            if activity.where is not None:
                used[activity.where] = used.get(activity.where, 0) + 2
                if activity.places >= ALL_PLACES:
                    alone.add(activity.where)
        for space, holds in network.places_of.items():
            if holds is not None:
                limits["space", space] = holds
            elif space in alone:
                # Without a limit it still knows who asked to be alone in it: more places than
                # there are users, coats that dry counted apart.
                limits["space", space] = used[space]
        return limits

    # -- tasks ---------------------------------------------------------------------------------

    def task(self, activity: Activity, frees: int = -1) -> Task:
        """What placing an activity has to look at.

        Args:
            frees: the coat whose drying place its start frees.
        """
        index, where, coat = activity.index, activity.where, activity.coat
        parcel = activity.kind == "parcel"
        incoming = self.network.incoming[index]
        simple = tuple(
            (link.pred, link.least)
            for link in incoming
            if link.point == FINISH and not link.to_finish
        )
        task = Task(
            activity=activity,
            choices=tuple(
                (
                    choice.timing,
                    tuple(self.people[person] for person in choice.people),
                    choice.timing.work if isinstance(choice.timing, (Hands, Wait)) else -1,
                )
                for choice in activity.choices
            ),
            earliest=activity.earliest
            if activity.at is None
            else max(activity.earliest, activity.at),
            latest_finish=activity.latest_finish,
            at=activity.at,
            parcel=parcel,
            simple=simple,
            other=tuple(link for link in incoming if link.point != FINISH or link.to_finish),
            windows=tuple(link for link in incoming if link.most is not None or link.to_finish),
            frees=frees,
            coat=coat,
        )
        if not parcel:
            amounts = [(("gear", name), count) for name, count in activity.gear]
            if where is not None and activity.places:
                amounts.append((("space", where), activity.places))
            task.need = self.levels.need(amounts)
            if where is not None:
                if coat is not None:
                    task.drying = self.levels.need([(("space", where), 1)])
                task.air = self._air_of(activity, where)
                task.makes = self._makes_of(activity, where)
        return task

    def task_like(self, task: Task, activity: Activity) -> Task:
        """The task of an activity that differs in how its time runs alone."""
        other = self.task(activity, task.frees)
        other.tied, other.plain = task.tied, task.plain
        return other

    @staticmethod
    def plain_minutes(task: Task) -> int:
        """The minutes of a wait that looks at nothing but links and levels, -1 for all else."""
        if (
            task.parcel
            or task.windows
            or task.tied
            or task.air
            or task.makes
            or task.coat is not None
            or task.at is not None
            or task.frees >= 0
            or task.latest_finish < NEVER
            or len(task.choices) > 1
        ):
            return -1
        timing, people, _ = task.choices[0]
        return timing.work if isinstance(timing, Wait) and not people else -1

    def _kept(
        self, kept: dict[tuple[str, AirBorne], Stretches], where: str, kind: AirBorne
    ) -> Stretches:
        return kept.setdefault((where, kind), Stretches())

    def _air_of(
        self, activity: Activity, where: str
    ) -> tuple[tuple[Stretches, Stretches, bool], ...]:
        return tuple(
            (
                self._kept(self.bad, where, BEARS_NOT[need]),
                self._kept(self.needed, where, BEARS_NOT[need]),
                need == "still" and activity.coat is not None,
            )
            for need in sorted(activity.needs_air)
        )

    def _makes_of(
        self, activity: Activity, where: str
    ) -> tuple[tuple[tuple[tuple[Stretches, Stretches, int], ...], bool], ...]:
        kinds: list[tuple[AirBorne, bool]] = [(kind, False) for kind in sorted(activity.makes)]
        if activity.coat is not None and activity.coat.coating.fumes:
            kinds.append(("fumes", True))
        return tuple(
            (
                tuple(
                    (
                        self._kept(self.needed, space, kind),
                        self._kept(self.bad, space, kind),
                        self.linger(kind, where, space),
                    )
                    for space in sorted(self._felt(kind, where))
                ),
                wet,
            )
            for kind, wet in kinds
        )

    def linger(self, kind: AirBorne, made: str, felt: str) -> int:
        """Minutes for which the air of `felt` stays bad after `kind` was made in `made`.

        The longer of the two spaces' own times: dust that came through a door takes as long to
        settle as it does where it was made.
        """
        lingers = self.network.lingers
        return max(lingers.get(made, {}).get(kind, 0), lingers.get(felt, {}).get(kind, 0))

    def _felt(self, kind: AirBorne, where: str) -> frozenset[str]:
        reach = self.network.noises if kind == "noise" else self.network.shares
        return reach.get(where, frozenset({where}))

    # -- taking --------------------------------------------------------------------------------

    def take(
        self, task: Task, choice: int, start: int, finish: int, pieces: tuple[Stretch, ...]
    ) -> None:
        """Take people, gear, a place and air for an activity; its coat's place is `hold`'s."""
        log = self.log.steps
        for taken in task.choices[choice][1]:
            for piece in pieces:
                taken.add(*piece)
                log.append((taken.remove, piece))
        if task.need and start < finish:
            self.levels.take(start, finish, task.need)
            log.append((self.levels.take, (start, finish, -task.need)))
        if task.air or task.makes:
            touch = finish if task.coat is None else task.coat.stage_end("touch", finish)
            wet = ((start, touch),)
            for _, needed, until_touch in task.air:
                for piece in wet if until_touch else pieces:
                    needed.add(*piece)
                    log.append((needed.remove, piece))
            for spaces, until_touch in task.makes:
                for _, bad, linger in spaces:
                    for a, b in wet if until_touch else pieces:
                        bad.add(a, b + linger)
                        log.append((bad.remove, (a, b + linger)))

    def take_fact(
        self, task: Task, start: int, finish: int, pieces: tuple[Stretch, ...], handle: int
    ) -> None:
        """Take what something done still holds from now on: a drying place, wet air, dust."""
        now = self.network.now
        if task.coat is not None:
            if now < handle < NEVER:
                self.hold(task, (finish, handle))
            touch = task.coat.stage_end("touch", finish)
            if touch > now and task.activity.where is not None:
                self._kept(self.needed, task.activity.where, "dust").add(start, touch)
        else:
            touch = finish
        for spaces, until_touch in task.makes:
            for _, bad, linger in spaces:
                for a, b in ((start, touch),) if until_touch else pieces:
                    if b + linger > now:
                        bad.add(a, b + linger)

    def hold(self, task: Task, stretch: Stretch) -> None:
        """Hold a place for a drying coat over a stretch (empty: none), instead of any before."""
        self.release_hold(task)
        start, end = stretch
        if start < end and task.drying:
            self.levels.take(start, end, task.drying)
            self.log.steps.append((self.levels.take, (start, end, -task.drying)))
        index = task.activity.index
        self.holds[index] = stretch
        self.log.steps.append((self._forget_hold, (index,)))

    def release_hold(self, task: Task) -> None:
        """Give up the place a drying coat holds."""
        index = task.activity.index
        stretch = self.holds.get(index)
        if stretch is None:
            return
        start, end = stretch
        if start < end and task.drying:
            self.levels.take(start, end, -task.drying)
            self.log.steps.append((self.levels.take, (start, end, task.drying)))
        del self.holds[index]
        self.log.steps.append((self._put_hold_back, (index, start, end)))

    def _forget_hold(self, index: int) -> None:
        del self.holds[index]

    def _put_hold_back(self, index: int, start: int, end: int) -> None:
        self.holds[index] = (start, end)

    # -- going back ----------------------------------------------------------------------------

    def snapshot(self) -> "Snapshot":
        """All that is taken now, to be put back as often as wanted."""
        return Snapshot(self)


class Snapshot:
    """What was taken of a site at one moment."""

    __slots__ = ("_air", "_holds", "_levels", "_mark", "_people", "_site")

    def __init__(self, site: Site) -> None:
        self._site = site
        self._mark = site.log.mark()
        self._people = [(taken, taken.copy()) for taken in site.people.values()]
        self._levels = site.levels.copy()
        self._air = [(kept, kept.copy()) for kept in (*site.bad.values(), *site.needed.values())]
        self._holds = dict(site.holds)

    def put_back(self) -> None:
        """Make the site as it was. Only what came after is undone, never more than that."""
        site = self._site
        for taken, people in self._people:
            taken.put_back(people)
        site.levels.put_back(self._levels)
        for kept, stretches in self._air:
            kept.put_back(stretches)
        site.holds = dict(self._holds)
        del site.log.steps[self._mark :]
