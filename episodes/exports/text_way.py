"""What a way out changes, in words: a line a change, with the names that the plan gives things."""

from collections.abc import Iterator

from episodes.amounts import Estimate, length_in_words
from episodes.exports.safe_text import clean
from episodes.exports.text_words import Words, counted, listed
from episodes.model.episode import Episode, Fallback, Job, Parcel, Ref, Shot, Step
from episodes.model.season import Season
from episodes.trade.air import degrees

MOST_NAMES = 6
"""Names in one line before the rest is counted."""


def way_lines(season: Season, episode: Episode, way: Fallback) -> tuple[str, ...]:
    """The changes of one fallback, each as a sentence without a full stop."""
    return tuple(clean(line) for line in _lines(season, episode, way))


def _lines(season: Season, episode: Episode, way: Fallback) -> Iterator[str]:
    words = Words(season.studio.zone, season.now)
    names = _Names(season, episode)
    for id, new in way.parcel.items():
        lead = _range(new.lead.amount, workdays=new.lead.workdays)
        by = "" if new.carrier is None else f", {names.carrier(new.carrier)}"
        yield f"{names.of('parcel', id)}: ordered anew, in hand after {lead}{by}"
    if way.use:
        yield f"Takes part: {listed((names.ref(ref) for ref in way.use), MOST_NAMES)}"
    if way.drop:
        yield f"Left out: {listed((names.ref(ref) for ref in way.drop), MOST_NAMES)}"
    for id, hands in way.hands.items():
        yield f"{names.step(id)}: {_range(hands)} of work"
    for id, coat in way.coat.items():
        yield f"{names.step(id)}: {coat.title or coat.product} instead"
    for person, (start, finish) in way.extra:
        yield f"{names.person(person)} works {words.stretch(start, finish)} too"
    for space, (celsius, humidity) in way.air.items():
        us = season.studio.units == "us"
        air = [] if celsius is None else [degrees(celsius, fahrenheit=us)]
        air += [] if humidity is None else [f"{humidity:g} %"]
        yield f"{names.space(space)} kept at {' and '.join(air)}"
    for id, space in way.where.items():
        yield f"{names.step(id)}: in {names.space(space)}"
    for id, who in way.who.items():
        people = (" or " if who.any_of else " and ").join(map(names.person, who.people))
        yield f"{names.step(id)}: done by {people}"


def _range(estimate: Estimate, *, workdays: bool = False) -> str:
    """`3 h`, `2 h to 6 h`, `1 to 3 workdays`."""
    low, high = estimate.low, estimate.high
    if workdays:
        return counted(high, "workday") if low == high else f"{low} to {high} workdays"
    if low == high:
        return length_in_words(high)
    return f"{length_in_words(low)} to {length_in_words(high)}"


class _Names:
    """Titles by id."""

    def __init__(self, season: Season, episode: Episode) -> None:
        self._studio = season.studio
        self._things: dict[tuple[str, str], Job | Step | Parcel | Shot] = {}
        self._jobs = {job.id: job.title for job in episode.jobs}
        for job in episode.jobs:
            self._things["job", job.id] = job
            for step in job.steps:
                self._things["step", step.id] = step
        for parcel in episode.parcels:
            self._things["parcel", parcel.id] = parcel
        for shot in episode.shots:
            self._things["shot", shot.id] = shot

    def of(self, kind: str, id: str) -> str:
        thing = self._things.get((kind, id))
        return id if thing is None else thing.title

    def ref(self, ref: Ref) -> str:
        return self.step(ref.id) if ref.kind == "step" else self.of(ref.kind, ref.id)

    def step(self, id: str) -> str:
        """A step with its job, or a shot."""
        job = self._jobs.get(id.partition(".")[0])
        if ("step", id) in self._things and job:
            return f"{job}: {self.of('step', id)}"
        return self.of("shot", id)

    def person(self, id: str) -> str:
        return next((each.title for each in self._studio.people if each.id == id), id)

    def space(self, id: str) -> str:
        return next((each.title for each in self._studio.spaces if each.id == id), id)

    def carrier(self, id: str) -> str:
        return next((each.title for each in self._studio.carriers if each.id == id), id)
