"""Ways out: what each would change, with every name in it resolved."""

from collections.abc import Mapping, Sequence

from episodes.amounts import Estimate
from episodes.calendars.openings import Stretch
from episodes.files.air import celsius_of
from episodes.files.context import Context, Layer
from episodes.files.reading_coats import from_table
from episodes.files.schema_episode import FallbackTable
from episodes.files.values import quoted
from episodes.model.episode import Fallback, Job, NewLead, Parcel, Ref, Shot, Step, Who
from episodes.problems import Place
from episodes.trade.products import Coating

_CHANGES = ("parcel", "drop", "hands", "coat", "extra", "air", "where", "who", "use")


class Things:
    """The jobs, steps, parcels and shots of an episode by id."""

    def __init__(
        self, jobs: Sequence[Job], parcels: Sequence[Parcel], shots: Sequence[Shot]
    ) -> None:
        self.jobs = {job.id: job for job in jobs}
        self.steps = {step.id: step for job in jobs for step in job.steps}
        self.parcels = {parcel.id: parcel for parcel in parcels}
        self.shots = {shot.id: shot for shot in shots}


def read_fallbacks(
    context: Context, tables: Sequence[FallbackTable], things: Things
) -> list[Fallback]:
    """The ways out; what is wrong with them goes to the context's faults."""
    read = (
        _Reader(context, context.layer(table, ("fallback", index)), things).fallback(table)
        for index, table in enumerate(tables)
        if ("fallback", index) not in context.source.broken
    )
    return list(read)


class _Reader:
    """One way out being read."""

    def __init__(self, context: Context, own: Layer, things: Things) -> None:
        self.context = context
        self.own = own
        self.things = things
        self.id = context.id_of(own)
        self.saying = f"fallback {quoted(self.id)}"

    def fallback(self, table: FallbackTable) -> Fallback:
        place = self.context.source.place(self.own.path)
        if all(not getattr(table, key) and self.own.lacks(key) for key in _CHANGES):
            mend = f"Give it one of {', '.join(_CHANGES)}."
            self.fault("changes-nothing", place, f"{self.saying} changes nothing.", mend)
        return Fallback(
            id=self.id,
            title=table.title or self.id,
            cost=table.cost,
            loses=table.loses,
            parcel=self.parcels(table),
            drop=self.refs("drop", table.drop or ()),
            hands=self.hands(table.hands or {}),
            coat=self.coats(table.coat or {}),
            extra=self.extra(table),
            air=self.air(table),
            where=self.where(table.where or {}),
            who=self.who(table.who or {}),
            use=self.use(table.use or ()),
            note=table.note or "",
            place=place,
        )

    def fault(self, code: str, place: Place, text: str, mend: str = "") -> None:
        self.context.fault(code, place, text, mend, self.id)

    def parcels(self, table: FallbackTable) -> dict[str, NewLead]:
        read: dict[str, NewLead] = {}
        for name, new in (table.parcel or {}).items():
            place = self.own.place("parcel", name)
            if not self.is_a("parcel", name, self.things.parcels, place):
                continue
            path = (*self.own.path, "parcel", name)
            if new.lead is None:
                if Layer(new, self.own.source, path).lacks("lead") and not self.broken(path):
                    text = f"{self.saying}: the new order of {quoted(name)} has no `lead`."
                    mend = 'Write lead = "1..2..3 workdays".'
                    self.fault("missing-key", place, text, mend)
                continue
            if new.carrier is not None:
                words = f"{self.saying}: {quoted(name)} comes by"
                known = self.context.ground.carriers
                self.context.known("carrier", new.carrier, known, place, words, self.id)
            read[name] = NewLead(new.lead, new.carrier)
        return read

    def broken(self, path: tuple[str | int, ...]) -> bool:
        return path in self.context.source.broken

    def is_a(self, kind: str, name: str, known: Mapping[str, object], place: Place) -> bool:
        """Whether the episode has such a thing; a fault if not."""
        if name in known:
            return True
        ref = self.context.find(name, place, f"{self.saying} names", self.id)
        if ref is not None and (ref.kind != kind or ref.episode != self.context.id):
            text = f"{self.saying}: {quoted(name)} is no {kind} of this episode."
            self.fault("unknown-name", place, text, f"A {kind} belongs here.")
        return False

    def refs(self, key: str, names: Sequence[str]) -> tuple[Ref, ...]:
        found = []
        for index, name in enumerate(names):
            place = self.own.place(key, index)
            ref = self.context.find(name, place, f"{self.saying}: `{key}` names", self.id)
            if ref is None:
                continue
            if ref.episode != self.context.id or ref.kind == "release":
                text = (
                    f"{self.saying}: `{key}` takes jobs, steps, parcels and shots of this episode."
                )
                self.fault("unknown-name", place, text, f"{quoted(name)} is none of them.")
                continue
            found.append(ref)
        return tuple(found)

    def use(self, names: Sequence[str]) -> tuple[Ref, ...]:
        refs = self.refs("use", names)
        for ref in refs:
            thing: Job | Step | Parcel | Shot | None
            if ref.kind == "job":
                thing = self.things.jobs.get(ref.id)
            elif ref.kind == "step":
                thing = self.things.steps.get(ref.id)
            elif ref.kind == "parcel":
                thing = self.things.parcels.get(ref.id)
            else:
                thing = self.things.shots.get(ref.id)
            if thing is None or thing.fallback_only:
                continue
            if isinstance(thing, Job) and any(step.fallback_only for step in thing.steps):
                continue
            text = f"{self.saying} uses {quoted(ref.id)}, which takes part anyway."
            mend = "Write fallback_only = true where it is defined, or leave it out here."
            self.fault("not-fallback-only", self.own.place("use"), text, mend)
        return refs

    def hands(self, table: Mapping[str, Estimate]) -> dict[str, Estimate]:
        read = {}
        for name, estimate in table.items():
            place = self.own.place("hands", *self.at("hands", name))
            thing: Step | Shot | None = self.things.steps.get(name) or self.things.shots.get(name)
            if thing is None:
                self.is_a("step", name, self.things.steps, place)
            elif isinstance(thing, Step) and thing.wait is not None:
                text = f"{self.saying}: {quoted(name)} is a wait and has no hands-on time."
                self.fault("not-for-waits", place, text, "Name a step with `hands`.")
            else:
                read[name] = estimate
        return read

    def coats(self, table: Mapping[str, str]) -> dict[str, Coating]:
        read = {}
        for name, product in table.items():
            place = self.own.place("coat", *self.at("coat", name))
            if not self.is_a("step", name, self.things.steps, place):
                continue
            if self.things.steps[name].coating is None:
                if name not in self.context.coated:
                    text = f"{self.saying}: {quoted(name)} puts no coat on."
                    self.fault("unknown-name", place, text, "Name a step that has a `coat`.")
                continue
            coating = from_table(self.context, product, place, self.saying, self.id)
            if coating is not None:
                read[name] = coating
        return read

    def where(self, table: Mapping[str, str]) -> dict[str, str]:
        read = {}
        for name, space in table.items():
            place = self.own.place("where", *self.at("where", name))
            if name not in self.things.shots and not self.is_a(
                "step", name, self.things.steps, place
            ):
                continue
            words = f"{self.saying}: {quoted(name)} goes to"
            known = self.context.ground.spaces
            if not self.context.known("space", space, known, place, words, self.id):
                continue
            read[name] = space
            thing = self.things.steps.get(name) or self.things.shots[name]
            for deed in set(thing.does) & set(known.get(space, ())):
                text = f"{self.saying}: {quoted(name)} does {quoted(deed)}, which"
                text += f" {quoted(space)} forbids."
                self.fault("forbidden", place, text, "Send it elsewhere.")
        return read

    def who(self, table: Mapping[str, Who]) -> dict[str, Who]:
        read = {}
        for name, who in table.items():
            place = self.own.place("who", *self.at("who", name))
            thing: Step | Shot | None = self.things.steps.get(name) or self.things.shots.get(name)
            if thing is None:
                self.is_a("step", name, self.things.steps, place)
                continue
            if isinstance(thing, Step) and thing.wait is not None:
                text = f"{self.saying}: {quoted(name)} is a wait and needs nobody."
                self.fault("not-for-waits", place, text, "Name a step with `hands`.")
                continue
            if not who.people:
                text = f"{self.saying}: nobody is named for {quoted(name)}."
                self.fault("nobody", place, text, "Name who does it instead.")
                continue
            words = f"{self.saying}: {quoted(name)} is done by"
            people = self.context.ground.people
            # Every unknown name is told, not the first alone.
            unknown = [
                person
                for person in who.people
                if not self.context.known("person", person, people, place, words, self.id)
            ]
            if not unknown:
                read[name] = who
        return read

    def at(self, key: str, name: str) -> tuple[str, ...]:
        """The way to a step's value as it was written: quoted, or as a nested table."""
        if (*self.own.path, key, name) in self.context.source.lines:
            return (name,)
        return tuple(name.split("."))

    def extra(self, table: FallbackTable) -> tuple[tuple[str, Stretch], ...]:
        zone = self.context.ground.zone
        read = []
        for index, more in enumerate(table.extra or ()):
            layer = self.context.layer(more, (*self.own.path, "extra", index))
            place = self.context.source.place(layer.path)
            if self.broken(layer.path):
                continue
            for key in ("person", "at"):
                if layer.lacks(key):
                    text = f"{self.saying}: extra hours without `{key}`."
                    mend = 'Write { person = "builder", at = "2027-04-25 09:00-17:00" }.'
                    self.fault("missing-key", place, text, mend)
            if more.person is None or more.at is None:
                continue
            words = f"{self.saying}: extra hours of"
            people = self.context.ground.people
            if self.context.known(
                "person", more.person, people, layer.place("person"), words, self.id
            ):
                start, end = more.at.window
                day = more.at.day
                read.append((more.person, (zone.utc(day, start), zone.utc(day, end))))
        return tuple(read)

    def air(self, table: FallbackTable) -> dict[str, tuple[float | None, float | None]]:
        read = {}
        for name, air in (table.air or {}).items():
            place = self.own.place("air", name)
            words = f"{self.saying}: `air` of"
            known = self.context.ground.spaces
            if self.context.known("space", name, known, place, words, self.id):
                celsius = celsius_of(air, place, f"{self.saying}: `air`", self.context.faults)
                read[name] = (celsius, air.humidity)
        return read
