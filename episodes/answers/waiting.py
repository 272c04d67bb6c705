"""What a start waited for, one reason after another, in a sentence that names each of them."""

from collections.abc import Mapping, Sequence

from episodes.amounts import length_in_words
from episodes.answers.holders import Conflict, Holder, Holders
from episodes.answers.planning import Planning
from episodes.answers.rows import CheckAnswer, StepRow
from episodes.calendars.working_time import LONG_AGO, first_open
from episodes.model.episode import Episode, Parcel, Shot, Step
from episodes.network.activity import FINISH, START, Activity, Link
from episodes.network.hours import Hours
from episodes.network.timing import Delivery, Expected, Hands, Timing
from episodes.schedule.plan import Placed, Reason
from episodes.trade.limits import in_words, outside
from episodes.trade.products import STAGES, Stage

MOST_REASONS = 4
"""Reasons told of one start, the last ones: a person may have been busy with a dozen things."""
MOST_HOLDERS = 2
MOST_OF_A_ROOM = 32

STAGE_WORDS: dict[Stage, str] = {
    "touch": "touch dry",
    "recoat": "ready for the next coat",
    "handle": "dry enough to handle",
    "cure": "cured",
}
_NEEDS = {"still": "air without dust", "fresh": "air without fumes", "quiet": "quiet"}

Found = tuple[str, StepRow | None]
"""Words, and the row that the chain goes on with."""


class Waiting:
    """Puts reasons into words.

    Args:
        rows: of all episodes, by (episode, id).
    """

    def __init__(
        self,
        planning: Planning,
        judged: CheckAnswer,
        rows: Mapping[tuple[str, str], StepRow],
    ) -> None:
        self.planning = planning
        self.network = planning.network
        self.judged = judged
        self.rows = rows
        self.holders = Holders(planning)
        self._hours: Hours | None = None

    @property
    def hours(self) -> Hours:
        """The calendars that the network was built on."""
        if self._hours is None:
            self._hours = Hours(self.planning.season, self.network.start, self.network.end)
        return self._hours

    def sentence(self, row: StepRow, activity: Activity, placed: Placed) -> Found:
        """All that moved a start on its way, the last one last."""
        parts: list[str] = []
        before: StepRow | None = None
        since = LONG_AGO
        for reason, moment in placed.reasons:
            words, other = self._words(row, activity, placed, reason, since, moment)
            if words:
                # What is waited for twice is told where it held last.
                parts = [*(part for part in parts if part != words), words]
            before = other or before
            since = moment
        if not parts:
            parts = ["kept where it was, though nothing holds it"] if self._kept(activity) else []
        if len(parts) > MOST_REASONS:
            parts = ["waits for other work", *parts[1 - MOST_REASONS :]]
        return ", then ".join(parts) or "nothing holds it", before

    def _kept(self, activity: Activity) -> bool:
        return activity.index in self.planning.plan.kept

    def name(self, row: StepRow | Activity, episode: str) -> str:
        """A thing's title, with its room where that is another one."""
        if row.episode == episode:
            return row.title
        room = self.judged_title(row.episode).partition(":")[0]
        return f"{row.title} ({room[:MOST_OF_A_ROOM]})"

    def judged_title(self, episode: str) -> str:
        """The title of a room; it may not be among those answered for."""
        return self.planning.season.episode(episode).title

    def _words(
        self,
        row: StepRow,
        activity: Activity,
        placed: Placed,
        reason: Reason,
        since: int,
        moment: int,
    ) -> Found:
        match reason.kind:
            case "step" | "parcel":
                return self._predecessor(row, activity, reason, moment)
            case "person":
                return self._person(row, activity, reason.id or "", since, moment)
            case "gear":
                return self._gear(row, activity, reason.id or "", since, moment)
            case "space":
                return self._space(row, activity, reason.id or "", since, moment)
            case "air":
                return self._air(row, activity, placed, since, moment)
            case "light":
                dark = getattr(self._written(activity), "light", None) == "dark"
                return "until it is dark" if dark else "until there is daylight", None
            case "hours":
                return self._open(activity, placed, since, moment), None
            case "window":
                return self._window(row, activity, moment), None
            case "bound":
                return self._bound(row, activity, reason, moment), None
            case _:
                now = "can be ordered now" if row.kind == "parcel" else "can start now"
                return (now, None) if row.start == moment else ("", None)

    # -- what comes before ---------------------------------------------------------------------

    def _predecessor(self, row: StepRow, activity: Activity, reason: Reason, moment: int) -> Found:
        episode = reason.episode or row.episode
        id = reason.id or ""
        other = self.rows.get((episode, id))
        name = id if other is None else self.name(other, row.episode)
        if reason.kind == "parcel":
            return f"waits for {name}{self._settling(episode, id)}", other
        link = self._link(activity, episode, id.removesuffix(".dry"), moment)
        if link is None:
            return f"waits for {name}" + ("" if id.endswith(".dry") else " to be over"), other
        return self._after(link, name, row.episode), other

    def _link(self, activity: Activity, episode: str, id: str, moment: int) -> Link | None:
        """The link from that thing that asks for this moment, else any from it."""
        found = [
            link
            for link in self.network.incoming[activity.index]
            if self.network.activities[link.pred].key == (episode, id)
        ]
        exact = [
            link
            for link in found
            if not link.to_finish and self._point(link.pred, link.point) + link.least == moment
        ]
        return next(iter(exact or found), None)

    def _point(self, index: int, point: int) -> int:
        placed = self.planning.plan.placed[index]
        activity = self.network.activities[index]
        if placed is None:
            return LONG_AGO
        if point == START:
            return placed.start if activity.fact_start is None else activity.fact_start
        if point == FINISH or activity.coat is None:
            return placed.finish
        return activity.coat.stage_end(STAGES[point - 2], placed.finish)

    def _after(self, link: Link, name: str, episode: str) -> str:
        """What a link asks for, in words."""
        gap = length_in_words(link.least) if link.least else ""
        if link.to_finish:
            return f"must not end before {name} " + ("starts" if link.point == START else "is over")
        if link.point == START:
            return f"waits until {gap} after {name} starts" if gap else f"waits for {name} to start"
        if link.point == FINISH:
            return f"waits until {gap} after {name}" if gap else f"waits for {name} to be over"
        coat = self.name(self.network.activities[link.pred], episode)
        stage = STAGE_WORDS[STAGES[link.point - 2]]
        return f"waits for {coat} to be {stage}" + (f", and {gap} more" if gap else "")

    def _settling(self, episode: str, id: str) -> str:
        activity = self.network.activities[self.network.index[episode, id]]
        timing = activity.choices[0].timing
        settle = timing.settle if isinstance(timing, (Delivery, Expected)) else 0
        return f", {length_in_words(settle)} after it comes (it settles)" if settle else ""

    # -- who and what is in the way --------------------------------------------------------------

    def _person(
        self, row: StepRow, activity: Activity, person: str, since: int, moment: int
    ) -> Found:
        title = self.judged.people.get(person, person or "somebody")
        found = self.holders.of_person(person, since, moment, activity.index)
        if not found:
            return f"until {title} is free", None
        holder = found[0]
        name = self.name(holder.activity, row.episode)
        other = self._row_of(holder)
        placed = self.planning.plan.placed[holder.activity.index]
        if placed is not None and holder.end < placed.finish:
            return f"until {title} leaves off {name}", other
        return f"until {title} is done with {name}", other

    def _gear(self, row: StepRow, activity: Activity, gear: str, since: int, moment: int) -> Found:
        title = self.judged.gear_titles.get(gear, gear or "the gear")
        found = self.holders.of_gear(gear, since, moment, activity.index)
        limit = self.network.gear_of.get(gear, 1)
        wanted = dict(activity.gear).get(gear, 1)
        many = f" ({wanted} of {limit} wanted)" if limit > 1 else ""
        if not found:
            return f"until {title} is free{many}", None
        return f"until {self._names(found, row)} gives up {title}{many}", self._row_of(found[-1])

    def _space(
        self, row: StepRow, activity: Activity, space: str, since: int, moment: int
    ) -> Found:
        title = self.judged.spaces.get(space, space or "the space")
        found = self.holders.of_space(space, since, moment, activity.index)
        if not found:
            return f"until there is a place in {title}", None
        verb = self._lets_go(found[-1])
        alone = activity.places > 1
        place = f"{title} is empty" if alone else f"there is a place in {title}"
        return f"until {place}: {self._names(found, row)} {verb}", self._row_of(found[-1])

    @staticmethod
    def _lets_go(holder: Holder) -> str:
        coat = holder.activity.coat
        if not holder.drying or coat is None:
            return "is over"
        by_itself = coat.stage_end("handle", holder.start) == holder.end
        return "can be handled" if by_itself else "is taken up for its next step"

    def _names(self, found: Sequence[Holder], row: StepRow) -> str:
        names = list(dict.fromkeys(self.name(each.activity, row.episode) for each in found))
        return " and ".join(names[-MOST_HOLDERS:])

    def _row_of(self, holder: Holder) -> StepRow | None:
        episode, id = holder.activity.key
        return self.rows.get((episode, f"{id}.dry" if holder.drying else id))

    # -- air -----------------------------------------------------------------------------------

    def _air(
        self, row: StepRow, activity: Activity, placed: Placed, since: int, moment: int
    ) -> Found:
        weather = self._weather(activity, placed, since, moment)
        if weather:
            return weather, None
        found = self.holders.of_air(activity, since, moment)
        if not found:
            space = self.judged.spaces.get(activity.where or "", activity.where or "the room")
            return f"until the air in {space} is right", None
        conflict = found[-1]
        return self._conflict(conflict, row, activity), self.rows.get(conflict.other.key)

    def _conflict(self, conflict: Conflict, row: StepRow, activity: Activity) -> str:
        other = self.name(conflict.other, row.episode)
        bad = conflict.kind
        if conflict.suffers:
            reason = "its wet coat" if activity.coat is not None and bad == "dust" else "it"
            needs = f"{reason} needs {_NEEDS[conflict.need]}"
            if conflict.wet:
                return f"until {other} is touch dry and gives off no more {bad}: {needs}"
            if conflict.lingers:
                linger = length_in_words(conflict.lingers)
                return f"until the {bad} of {other} has gone, {linger} after it: {needs}"
            return f"until the {bad} of {other} is over: {needs}"
        if conflict.wet:
            return f"until {other} is touch dry: {bad} would spoil the wet coat"
        return f"until {other} is over, which needs {_NEEDS[conflict.need]}: this makes {bad}"

    def _weather(self, activity: Activity, placed: Placed, since: int, moment: int) -> str:
        """The warmth or dryness that a coat waits for; "" where that is not what held it."""
        timing = activity.choices[placed.choice].timing
        if not isinstance(timing, Hands) or timing.gate is None or activity.coat is None:
            return ""
        if since <= LONG_AGO or timing.fit_hours(since) >= timing.fit(since):
            return ""
        coating = activity.coat.coating
        found = next(
            (
                out
                for _, end, air in timing.gate.air
                if end > timing.fit_hours(since) and (out := outside(coating, air)) is not None
            ),
            None,
        )
        if found is None:
            return ""
        studio = self.planning.season.studio
        space = self.judged.spaces.get(activity.where or "", activity.where or "the air")
        said = in_words(found, coating.product, fahrenheit=studio.units == "us")
        return f"until the air allows it: {space} is at {said}"

    # -- hours, windows, dates -------------------------------------------------------------------

    def _open(self, activity: Activity, placed: Placed, since: int, moment: int) -> str:
        """Whose hours are waited for: those that are closed when it could have begun."""
        choice = activity.choices[placed.choice]
        timing = choice.timing
        shut = [
            self.judged.people.get(person, person)
            for person in choice.people
            if not self.hours.person(person).is_open(since)
        ]
        long = self._wants_long(timing, since, moment)
        people = " and ".join(self._all(choice.people))
        if long and not shut:
            has = "have" if len(choice.people) > 1 else "has"
            return f"until {people} {has} {long}" if people else f"until there are {long}"
        long = f", with {long}" if long else ""
        if len(shut) == 1 and len(choice.people) == 1:
            return f"until {shut[0]}'s next open hours{long}"
        if shut:
            return f"until {people} are open together{long}"
        return self._place_opens(activity, since)

    @staticmethod
    def _wants_long(timing: Timing, since: int, moment: int) -> str:
        """The length in one go that an earlier opening had no room for; "" where none had come."""
        if isinstance(timing, Hands) and timing.one_go:
            if first_open(timing.openings, since) < moment:
                return f"{length_in_words(timing.work)} in one go"
        return ""

    def _place_opens(self, activity: Activity, since: int) -> str:
        where = activity.where
        if where is not None:
            title = self.judged.spaces.get(where, where)
            space = self.hours.space(where)
            if space is not None and not space.is_open(since):
                return f"until {title} opens"
            noisy = self.hours.space(where, noisy=True)
            if "noise" in activity.makes and noisy is not None and not noisy.is_open(since):
                return f"until noise is allowed in {title}"
        return "until the next open hours"

    def _all(self, people: Sequence[str]) -> list[str]:
        return [self.judged.people.get(person, person) for person in people]

    def _window(self, row: StepRow, activity: Activity, moment: int) -> str:
        for link in self.network.incoming[activity.index]:
            if link.two_sided and link.or_point is not None:
                if self._point(link.pred, link.or_point) + link.or_gap == moment:
                    name = self.name(self.network.activities[link.pred], row.episode)
                    first = length_in_words(link.most or 0)
                    return f"until the second side of the window after {name}: {first} were over"
        for link in self.network.outgoing[activity.index]:
            if link.most is not None and not link.two_sided:
                name = self.name(self.network.activities[link.succ], row.episode)
                return f"late enough for {name} to follow within {length_in_words(link.most)}"
        return "until its window opens"

    def _bound(self, row: StepRow, activity: Activity, reason: Reason, moment: int) -> str:
        if reason.episode is not None:
            return f"waits for the release of {self.judged_title(reason.episode)}"
        if activity.at is not None and activity.at == moment:
            return "has its own fixed moment"
        episode: Episode = self.planning.season.episode(row.episode)
        written = self._written(activity)
        if written is not None and written.not_before == moment:
            return "not before its own date"
        if episode.may_start == moment:
            return "no work on this room may start earlier"
        return "not before its own date"

    def _written(self, activity: Activity) -> Step | Shot | Parcel | None:
        episode = self.planning.season.episode(activity.episode)
        things: list[Step | Shot | Parcel] = [
            *(step for job in episode.jobs if job.id == activity.job for step in job.steps),
            *episode.shots,
            *episode.parcels,
        ]
        return next((each for each in things if each.id == activity.id), None)
