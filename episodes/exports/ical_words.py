"""The words in a calendar entry: titles, places, texts and alarms, cleaned of what could act.

A text says what the one who stands there needs: who, gear, light, what can hurt, from when until
when the next coat may go on. It says nothing that changes by the day alone.
"""

from episodes.amounts import length_in_words
from episodes.answers.rows import CheckAnswer, EpisodeAnswer, ParcelRow, StepRow
from episodes.calendars.local_time import zone
from episodes.exports.safe_text import clean
from episodes.model.episode import Episode, Fallback, Job, Shot, Step
from episodes.model.season import Season

TITLE_CELLS = 200
TEXT_CELLS = 4000
_WEEKDAYS = ("Mon", "Tue", "Wed", "Thu", "Fri", "Sat", "Sun")
_MONTHS = ("Jan", "Feb", "Mar", "Apr", "May", "Jun", "Jul", "Aug", "Sep", "Oct", "Nov", "Dec")
_ORDER = {"answer": "Ask by"}
_ARRIVAL = {"pickup": "Pick up", "made": "Ready", "answer": "Answer due"}
_LIGHT = {"day": "By daylight.", "dark": "In the dark."}


def title(text: str, fallback: str = "") -> str:
    """Text of unknown origin on one line, never empty where `fallback` is not."""
    return clean(text, TITLE_CELLS).strip() or clean(fallback, TITLE_CELLS).strip()


def text(lines: list[str]) -> str:
    """Lines of unknown origin, empty ones left out."""
    kept = [clean(line, lines=True).strip() for line in lines]
    return clean("\n".join(line for line in kept if line), TEXT_CELLS, lines=True)


class Words:
    """The words for the rows of one episode."""

    def __init__(self, answer: CheckAnswer, season: Season, episode: EpisodeAnswer) -> None:
        self.answer = answer
        self.episode = episode
        self.room = title(episode.title, episode.id)
        self.units = season.studio.units
        self.currency = answer.currency or season.studio.currency
        self.here = zone(answer.zone)
        self.jobs: dict[str, Job] = {}
        self.steps: dict[str, Step] = {}
        self.shots: dict[str, Shot] = {}
        self.fallbacks: tuple[Fallback, ...] = ()
        written = _written(season, episode.id)
        if written is not None:
            self.jobs = {job.id: job for job in written.jobs}
            self.steps = {step.id: step for job in written.jobs for step in job.steps}
            self.shots = {shot.id: shot for shot in written.shots}
            self.fallbacks = written.fallbacks

    # ------------------------------------------------------------------ common

    def categories(self, kind: str, who: tuple[str, ...] = ()) -> tuple[str, ...]:
        """Kind, episode and people, as a calendar sorts by them."""
        people = [title(self.answer.people.get(person, person), person) for person in who]
        return tuple(dict.fromkeys(word for word in (kind, self.episode.id, *people) if word))

    def location(self, row: StepRow) -> str:
        if row.where is None:
            return ""
        return title(self.answer.spaces.get(row.where, row.where), row.where)

    def moment(self, minute: int) -> str:
        """`Wed 14 Apr 13:40`, local to the studio."""
        local = self.here.local(minute)
        day = f"{_WEEKDAYS[local.weekday()]} {local.day} {_MONTHS[local.month - 1]}"
        return f"{day} {local.hour:02d}:{local.minute:02d}"

    def money(self, amount: float) -> str:
        figure = f"{amount:.2f}".removesuffix(".00")
        return f"{self.currency} {figure}".strip()

    # ------------------------------------------------------------------ release

    def release_title(self) -> str:
        return title(f"Release: {self.room}")

    def release_text(self) -> str:
        return text([f"{self.room} goes out."])

    def release_bell(self) -> str:
        return title(f"{self.room} goes out {self.moment(self.episode.release)}")

    # ------------------------------------------------------------------ work

    def work_title(self, row: StepRow, number: int, count: int) -> str:
        name = title(row.title, row.id)
        if row.kind == "shot":
            name = f"Film: {name}"
        else:
            job = self.jobs.get(row.job)
            where_from = title(job.title, job.id) if job is not None else title(row.job)
            if where_from and where_from != name:
                name = f"{where_from}: {name}"
        part = f" ({number} of {count})" if count > 1 else ""
        return clean(name, TITLE_CELLS - len(part)) + part

    def work_text(self, row: StepRow, number: int, count: int) -> str:
        lines = [f"For: {self.room}"]
        if count > 1:
            lines.append(f"Session {number} of {count}.")
        people = [title(self.answer.people.get(person, person), person) for person in row.who]
        if people:
            lines.append("Who: " + ", ".join(people))
        if row.gear:
            lines.append("Gear: " + ", ".join(self._gear(*piece) for piece in row.gear))
        if row.light in _LIGHT:
            lines.append(_LIGHT[row.light])
        if row.once:
            lines.append("It can't be taken again.")
        if row.optional:
            lines.append("Optional: the release does not wait for it.")
        lines += self._coat(row)
        lines += self._remarks(row)
        return text(lines)

    def _gear(self, id: str, count: int) -> str:
        name = title(self.answer.gear_titles.get(id, id), id)
        return f"{name} x {count}" if count > 1 else name

    def _remarks(self, row: StepRow) -> list[str]:
        cautions = [f"Caution: {title(caution)}" for caution in row.cautions if title(caution)]
        return [*cautions, row.note, row.link]

    def _coat(self, row: StepRow) -> list[str]:
        step = self.steps.get(row.id)
        if step is None or step.coating is None:
            return []
        lines = [f"Coat: {title(step.coating.title, step.coating.product or 'as the plan says')}"]
        if row.coat_windows:
            spans = [self._window(start, end) for start, end in row.coat_windows]
            lines.append("Over the coat underneath: " + ", or ".join(spans) + ".")
        lines += self._next_coat(step)
        return lines

    def _window(self, start: int, end: int | None) -> str:
        if end is None:
            return f"not before {self.moment(start)}"
        return f"not before {self.moment(start)}, not after {self.moment(end)}"

    def _next_coat(self, step: Step) -> list[str]:
        """What the product asks for before the next coat, by its own figures."""
        coating = step.coating
        if coating is None:
            return []
        air = ""
        if coating.dries_by != "none":
            air = " at 70 °F and 50 %" if self.units == "us" else " at 21 °C and 50 %"
        lines: list[str] = []
        recoat = coating.times.get("recoat")
        more = self._another_coat(step)
        if more and recoat is not None:
            after = length_in_words(recoat.likely)
            if coating.window_until is not None:
                within = length_in_words(coating.window_until)
                lines.append(f"Next coat within {within}, or after {after}{air}.")
            else:
                lines.append(f"Next coat after {after}{air}.")
        if more and coating.recoat_by is not None:
            by = length_in_words(coating.recoat_by)
            lines.append(f"Within {by}; past that, scuff before the next coat.")
        handle = coating.times.get("handle")
        if handle is not None:
            lines.append(f"Leave it alone for {length_in_words(handle.likely)}{air}.")
        return lines

    def _another_coat(self, step: Step) -> bool:
        """Whether a coat of the same surface comes after this one."""
        job = self.jobs.get(step.job)
        steps = () if job is None else job.steps
        ids = [other.id for other in steps]
        return step.id in ids and any(
            other.coating is not None and other.surface == step.surface
            for other in steps[ids.index(step.id) + 1 :]
        )

    def last_chance(self, row: StepRow) -> str:
        """The day before a shot that can't be taken again: what ends the chance."""
        chance = f"Last chance to film: {title(row.title, row.id)}"
        follows = self._what_follows(row)
        if follows is None or follows.start is None:
            return title(chance)
        return title(f"{chance}; {self._named(follows)} starts {self.moment(follows.start)}")

    def _named(self, row: StepRow) -> str:
        return title(row.title, row.id)

    def _what_follows(self, row: StepRow) -> StepRow | None:
        """The first hands-on step of the shot's subject that starts once the shot is over."""
        shot = self.shots.get(row.id)
        if shot is None or shot.of is None or shot.of.kind not in ("job", "step"):
            return None
        job = shot.of.id.split(".")[0]
        later = [
            other
            for other in self.episode.steps
            if other.kind == "hands"
            and other.job == job
            and other.start is not None
            and row.finish is not None
            and other.start >= row.finish
        ]
        return min(later, key=lambda other: (other.start or 0, other.id), default=None)

    # ------------------------------------------------------------------ waits

    def wait_title(self, row: StepRow) -> str:
        name = title(row.title, row.id)
        job = self.jobs.get(row.job)
        if job is not None and title(job.title, job.id) not in name:
            name = f"{title(job.title, job.id)}: {name}"
        return clean(name, TITLE_CELLS)

    def wait_text(self, row: StepRow) -> str:
        return text([f"For: {self.room}", "Nobody is needed.", *self._remarks(row)])

    # ------------------------------------------------------------------ parcels

    def order_title(self, row: ParcelRow) -> str:
        return title(f"{_ORDER.get(row.kind, 'Order by')}: {title(row.title, row.id)}")

    def order_text(self, row: ParcelRow) -> str:
        lines = [f"For: {self.room}"]
        if row.latest_arrival is not None:
            lines.append(f"It must be here by {self.moment(row.latest_arrival)}.")
        if row.cost is not None:
            lines.append(f"Cost: {self.money(row.cost)}")
        if row.optional:
            lines.append("Optional: the release does not wait for it.")
        lines.append(row.link)
        return text(lines)

    def last_day_to_order(self, row: ParcelRow) -> str:
        """The day before: what a miss costs, and what the cheapest other way would."""
        name = title(row.title, row.id)
        if row.optional:
            miss = "after this it comes too late"
        elif row.latest_exact:
            miss = "after this the release slips"
        else:
            miss = "after this the plan misses the release"
        ways = [way for way in self.fallbacks if row.id in way.parcel]
        if ways:
            way = min(ways, key=lambda way: (way.loses, way.cost, way.id))
            miss += f"; {title(way.title, way.id)} would be {self.money(way.cost)}"
        return title(f"Last day for {name}: {miss}")

    def return_title(self, row: ParcelRow) -> str:
        return title(f"Send back by: {title(row.title, row.id)}")

    def return_text(self, row: ParcelRow) -> str:
        lines = [f"For: {self.room}"]
        if row.failed is not None:
            lines.append(f"It can't be used: {title(row.failed)}")
        else:
            lines.append("If it is not needed: after this it can't go back.")
        lines.append(row.link)
        return text(lines)

    def last_day_to_return(self, row: ParcelRow) -> str:
        return title(f"Last day to send back {title(row.title, row.id)}: it can't be used")

    def arrival_title(self, row: ParcelRow) -> str:
        return title(f"{_ARRIVAL.get(row.kind, 'Arrives')}: {title(row.title, row.id)}")

    def arrival_text(self, row: ParcelRow) -> str:
        lines = [f"For: {self.room}"]
        if row.failed is not None:
            lines.append(f"It can't be used: {title(row.failed)}")
        if row.return_by is not None and row.returned is None:
            lines.append(f"Can be sent back until {self.moment(row.return_by)}.")
        lines.append(row.link)
        return text(lines)


def _written(season: Season, id: str) -> Episode | None:
    for episode in (*season.episodes, *season.ideas):
        if episode.id == id:
            return episode
    return None
