"""Ways out that nobody wrote down: what usually helps, made up from what holds the release up.

Each is a fallback like the host's own, marked as the program's and without a price: what it costs
and what the room loses by it is the host's to say. Only what acts on something that comes too late
is offered, and few of each kind; whether it saves the release is the caller's to try.
"""

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass

from episodes.amounts import Estimate, Lead
from episodes.answers.planning import Planning
from episodes.answers.rows import EpisodeAnswer, StepRow
from episodes.calendars.local_time import zone
from episodes.calendars.openings import Stretch
from episodes.model.episode import Episode, Fallback, Job, NewLead, Parcel, Ref, Step, Who
from episodes.model.studio import Air, Space
from episodes.problems import Place
from episodes.trade.air import degrees
from episodes.trade.cautions import Caution
from episodes.trade.drying import REFERENCE_CELSIUS, REFERENCE_HUMIDITY
from episodes.trade.exchanges import Offers
from episodes.trade.limits import outside
from episodes.trade.products import Coating, Product

MOST = 12
"""Suggestions tried for one room."""
MOST_OF_A_KIND = 3
"""Of those of one kind, so that no kind crowds the others out."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Suggestion:
    """A way out of the program's own making.

    Attributes:
        way: what it changes; its cost and loss say nothing.
        cautions: what can hurt someone who takes it.
    """

    way: Fallback
    cautions: tuple[Caution, ...] = ()


def suggestions(
    planning: Planning, answer: EpisodeAnswer, offers: Offers
) -> tuple[Suggestion, ...]:
    """What might save an episode that slips, likeliest kinds first, at most `MOST`.

    Args:
        answer: the episode as it stands, planned by `planning`.
        offers: what the trade has.
    """
    return tuple(_Made(planning, answer, offers).all())[:MOST]


class _Made:
    """Makes up suggestions for one episode."""

    def __init__(self, planning: Planning, answer: EpisodeAnswer, offers: Offers) -> None:
        self.planning = planning
        self.season = planning.season
        self.episode: Episode = self.season.episode(answer.id)
        self.offers = offers
        self.now, self.release = self.season.now, answer.release
        self.late = {
            row.id: row
            for row in answer.steps
            if row.state in ("open", "started")
            and (row.critical or _too_late(row))
            and not row.after_release
        }

    def all(self) -> Iterator[Suggestion]:
        kinds = (
            self._express, self._hours, self._exchanges, self._heat, self._left_out,
            self._handed_over, self._moved,
        )  # fmt: skip
        for kind in kinds:
            yield from list(kind())[:MOST_OF_A_KIND]

    def _way(
        self,
        id: str,
        title: str,
        *,
        cautions: Iterable[Caution | None] = (),
        parcel: dict[str, NewLead] | None = None,
        drop: tuple[Ref, ...] = (),
        coat: dict[str, Coating] | None = None,
        extra: tuple[tuple[str, Stretch], ...] = (),
        air: dict[str, tuple[float | None, float | None]] | None = None,
        where: dict[str, str] | None = None,
        who: dict[str, Who] | None = None,
    ) -> Suggestion:
        return Suggestion(
            way=Fallback(
                id=id,
                title=title,
                parcel=parcel or {},
                drop=drop,
                hands={},
                coat=coat or {},
                extra=extra,
                air=air or {},
                where=where or {},
                who=who or {},
                place=Place(file=self.episode.file, line=0),
            ),
            cautions=tuple(caution for caution in cautions if caution is not None),
        )

    # -- parcels -------------------------------------------------------------------------------

    def _express(self) -> Iterator[Suggestion]:
        for parcel in self.episode.parcels:
            if parcel.id not in self.late or parcel.arrived is not None:
                continue
            lead = self._quicker(parcel)
            if lead is None:
                continue
            again = "Order it again" if parcel.ordered is not None else "Ask for it"
            how = (
                f"{again} by express" if parcel.kind == "delivery" else f"{again} in half the time"
            )
            span = _workdays(lead.amount) if lead.workdays else ""
            title = f"{parcel.title}: {how[0].lower()}{how[1:]}{span}"
            yield self._way(f"express:{parcel.id}", title, parcel={parcel.id: NewLead(lead)})

    def _quicker(self, parcel: Parcel) -> Lead | None:
        """A lead that might be had for more money; None where it could hardly be sooner."""
        express = self.offers.express
        lead = parcel.lead
        if parcel.kind == "delivery" and express is not None:
            if lead is None or not lead.workdays or lead.amount.likely > express.amount.likely:
                return express
            return None
        if parcel.kind == "pickup" or lead is None or lead.amount.likely < 2:
            return None
        amount = lead.amount
        half = Estimate(-(-amount.low // 2), -(-amount.likely // 2), -(-amount.high // 2))
        return Lead(half, lead.workdays)

    # -- people --------------------------------------------------------------------------------

    def _hours(self) -> Iterator[Suggestion]:
        here = zone(self.season.studio.zone)
        busy = {person for row in self.late.values() for person in row.who}
        for person in self.season.studio.people:
            if person.id not in busy and not self._may_do(person.id):
                continue
            windows = [
                (here.utc(could.day, could.window[0]), here.utc(could.day, could.window[1]))
                for could in person.could
            ]
            some = sorted(
                (max(start, self.now), end)
                for start, end in windows
                if end > self.now and start < self.release
            )
            if some:
                yield self._way(
                    f"hours:{person.id}",
                    f"{person.title} works hours marked as possible",
                    extra=tuple((person.id, window) for window in some),
                )

    def _may_do(self, person: str) -> bool:
        return any(
            person in step.who.people
            for job in self.episode.jobs
            for step in job.steps
            if step.id in self.late
        )

    def _handed_over(self) -> Iterator[Suggestion]:
        for job in self.episode.jobs:
            by_person: dict[str, list[Step]] = {}
            for step in job.steps:
                row = self.late.get(step.id)
                if row is not None and row.state == "open" and row.kind == "hands":
                    if len(row.who) == 1 and not step.who.any_of:
                        by_person.setdefault(row.who[0], []).append(step)
            for person, steps in by_person.items():
                for other in self.season.studio.people:
                    if other.id == person:
                        continue
                    what = _what(job, steps)
                    yield self._way(
                        f"hand-over:{job.id}:{other.id}",
                        f"{other.title} does {what}",
                        who={step.id: Who((other.id,)) for step in steps},
                        cautions=(c for step in steps for c in step.known_cautions),
                    )

    # -- what is left out ----------------------------------------------------------------------

    def _left_out(self) -> Iterator[Suggestion]:
        """Things marked as optional that something required waits for."""
        for job in self.episode.jobs:
            if job.optional and any(step.id in self.late for step in job.steps):
                yield self._left("job", job.id, job.title)
                continue
            for step in job.steps:
                if step.optional and step.id in self.late:
                    yield self._left("step", step.id, step.title)
        for parcel in self.episode.parcels:
            if parcel.optional and parcel.id in self.late:
                yield self._left("parcel", parcel.id, parcel.title)
        for shot in self.episode.shots:
            if shot.optional and shot.id in self.late:
                yield self._left("shot", shot.id, shot.title)

    def _left(self, kind: str, id: str, title: str) -> Suggestion:
        ref = Ref(kind, self.episode.id, id)  # type: ignore[arg-type]
        return self._way(f"leave-out:{id}", f"Leave out {title}, which is optional", drop=(ref,))

    # -- coats and places ----------------------------------------------------------------------

    def _surfaces(self) -> Iterator[tuple[Job, tuple[Step, ...]]]:
        """Surfaces on which a coat or its drying is late, each with all its coats."""
        for job in self.episode.jobs:
            surfaces: dict[str, list[Step]] = {}
            for step in job.steps:
                if step.coating is not None and step.dropped is None and not step.fallback_only:
                    surfaces.setdefault(step.surface, []).append(step)
            for coats in surfaces.values():
                if any(self._coat_late(step) for step in coats):
                    yield job, tuple(coats)

    def _coat_late(self, step: Step) -> bool:
        return step.id in self.late or f"{step.id}.dry" in self.late

    def _exchanges(self) -> Iterator[Suggestion]:
        found: list[tuple[float, Suggestion]] = []
        for job, coats in self._surfaces():
            if any(step.started is not None or step.done is not None for step in coats):
                continue
            for old in dict.fromkeys(s.coating.product for s in coats if s.coating is not None):
                steps = [s for s in coats if s.coating is not None and s.coating.product == old]
                first = steps[0].coating
                assert first is not None
                for product in self.offers.instead_of(old):
                    gain = _elapsed(first) - _elapsed(product.coating)
                    if gain > 0 and self._may_lie(product, steps):
                        found.append((gain * len(steps), self._exchanged(job, steps, product)))
        found.sort(key=lambda pair: (-pair[0], pair[1].way.id))
        yield from (made for _, made in found)

    def _exchanged(self, job: Job, steps: Sequence[Step], product: Product) -> Suggestion:
        return self._way(
            f"product:{job.id}:{product.id}",
            f"{product.title} for {_what(job, steps)}, if its label and a trial on scrap allow",
            coat={step.id: product.coating for step in steps},
            cautions=product.coating.cautions,
        )

    def _may_lie(self, product: Product, steps: Sequence[Step]) -> bool:
        """Whether the air allows the product in the place of every coat, some time from now."""
        return all(
            any(outside(product.coating, air) is None for air in self._air(step.where))
            for step in steps
        )

    def _air(self, space: str | None) -> list[Air]:
        """The air of a place between now and the release, month by month."""
        if space is None:
            return [Air()]
        here = zone(self.season.studio.zone)
        first, last = here.day(self.now), here.day(self.release)
        count = (last.year - first.year) * 12 + last.month - first.month + 1
        months = self.season.studio.space(space).air_by_month
        return [months[(first.month - 1 + at) % 12] for at in range(min(count, 12))]

    def _heat(self) -> Iterator[Suggestion]:
        spaces = dict.fromkeys(
            step.where
            for _, coats in self._surfaces()
            for step in coats
            if step.where is not None and self._coat_late(step)
        )
        warm, dry = REFERENCE_CELSIUS, REFERENCE_HUMIDITY
        for space in spaces:
            assert space is not None
            air = self._air(space)
            cold = any(each.celsius < warm for each in air)
            damp = any(each.humidity > dry for each in air)
            if not cold and not damp:
                continue
            title = self.season.studio.space(space).title
            reached = degrees(warm, fahrenheit=self.season.studio.units == "us")
            verbs = [f"heat it to {reached}"] if cold else []
            verbs += [f"dry it to {dry:g} %"] if damp else []
            yield self._way(
                f"air:{space}",
                f"{title}: {' and '.join(verbs)}, from now to the last coat",
                air={space: (warm if cold else None, dry if damp else None)},
                cautions=(self.offers.heater,),
            )

    def _moved(self) -> Iterator[Suggestion]:
        for job in self.episode.jobs:
            by_space: dict[str, list[Step]] = {}
            for step in job.steps:
                if step.where is not None and not _begun(step) and step.dropped is None:
                    by_space.setdefault(step.where, []).append(step)
            for space, steps in by_space.items():
                # The room itself cannot be carried anywhere.
                if space == self.episode.room or not any(self._place_late(s) for s in steps):
                    continue
                for other in self._other_places(space, steps):
                    yield self._way(
                        f"move:{job.id}:{other.id}",
                        f"{other.title} instead for {_what(job, steps)}",
                        where={step.id: other.id for step in steps},
                        cautions=(c for step in steps for c in step.known_cautions),
                    )

    def _other_places(self, space: str, steps: Sequence[Step]) -> list[Space]:
        """Places that forbid none of these steps, the episode's own room last."""
        deeds = {deed for step in steps for deed in step.does}
        others = [
            other
            for other in self.season.studio.spaces
            if other.id != space and not deeds & set(other.forbids)
        ]
        return sorted(others, key=lambda other: other.id == self.episode.room)

    def _place_late(self, step: Step) -> bool:
        """Whether the place has a part in a step being late: its air, its hours, its room."""
        if self._coat_late(step) and step.coating is not None:
            return True
        row = self.late.get(step.id)
        if row is None or row.because is None:
            return False
        return row.because.kind in ("space", "air", "hours")


def _too_late(row: StepRow) -> bool:
    return row.finish is not None and row.late_finish is not None and row.finish > row.late_finish


def _begun(step: Step) -> bool:
    return step.started is not None or step.done is not None


def _elapsed(coating: Coating) -> float:
    """What a coat takes until the next one, and until it may be handled, likely minutes."""
    times = coating.times
    handle = times["handle"].likely if "handle" in times else 0
    return (times["recoat"].likely if "recoat" in times else handle) + handle


def _what(job: Job, steps: Sequence[Step]) -> str:
    """A few steps of a job in words."""
    if len(steps) == 1:
        return f"{job.title}: {steps[0].title}"
    return f"{job.title}: {steps[0].title} and {len(steps) - 1} more"


def _workdays(amount: Estimate) -> str:
    return f", {amount.low} to {amount.high} workdays"
