"""Answers made by hand, and generated ones, for the tests of the calendar file.

Nothing of the engine is used: what a calendar says follows from the rows of an answer alone.
"""

from collections.abc import Sequence
from dataclasses import replace
from datetime import datetime
from zoneinfo import ZoneInfo

from hypothesis import strategies as st

from episodes.amounts import Estimate, Lead
from episodes.answers.rows import (
    CheckAnswer,
    EpisodeAnswer,
    Kind,
    Money,
    ParcelRow,
    State,
    StepRow,
    Verdict,
)
from episodes.calendars.openings import Stretch
from episodes.calendars.week import WeekHours
from episodes.model.episode import Episode, Fallback, Job, NewLead, Ref, Shot, Step
from episodes.model.season import Season
from episodes.model.studio import Person, ReleaseRule, Studio
from episodes.problems import Place
from episodes.trade.products import Coating

CHICAGO = "America/Chicago"
ZONES = (
    CHICAGO,
    "Europe/Dublin",
    "Australia/Lord_Howe",
    "Asia/Kolkata",
    "Africa/Casablanca",
    "America/Sao_Paulo",
)
HERE = Place("studio.toml", 1)
PEOPLE = {"host": "Host", "builder": "Builder"}
SPACES = {"workshop": "Garage workshop", "laundry": "Laundry room"}
GEAR = {"camera": "Camera", "clamps": "Clamps"}


def at(text: str, zone: str = CHICAGO) -> int:
    """UTC minute of a local time such as `2027-04-14 18:30`."""
    local = datetime.fromisoformat(text).replace(tzinfo=ZoneInfo(zone))
    return int(local.timestamp()) // 60


NOW = at("2027-04-05 08:00")
RELEASE = at("2027-05-07 09:00")


def hands(id: str, *sessions: Stretch, **more: object) -> StepRow:
    """An open step of the bench, worked in these sessions."""
    row = StepRow(
        id=f"bench.{id}",
        episode="2027-05-laundry",
        job="bench",
        title=id.capitalize(),
        kind="hands",
        state="open",
        start=sessions[0][0] if sessions else None,
        finish=sessions[-1][1] if sessions else None,
        sessions=sessions,
        who=("builder",),
        where="workshop",
    )
    return replace(row, **more)


def parcel(id: str, **more: object) -> ParcelRow:
    row = ParcelRow(
        id=id,
        episode="2027-05-laundry",
        title=f"The {id}",
        kind="delivery",
        state="open",
    )
    return replace(row, **more)


def episode(
    steps: Sequence[StepRow] = (),
    parcels: Sequence[ParcelRow] = (),
    *,
    id: str = "2027-05-laundry",
    verdict: Verdict = "meets",
    release: int = RELEASE,
    title: str = "Laundry room",
) -> EpisodeAnswer:
    root = StepRow(
        id="release",
        episode=id,
        job="",
        title="Release",
        kind="release",
        state="open",
        start=release,
        finish=release,
    )
    return EpisodeAnswer(
        id=id,
        title=title,
        release=release,
        verdict=verdict,
        proved=True,
        ready_by=release - 1440,
        ready_floor=release - 1440,
        spare_min=1440,
        room_by=None,
        steps=(*steps, root),
        parcels=tuple(parcels),
        money=Money(None, 0, 0, None),
        problems=(),
    )


def answer(*episodes: EpisodeAnswer, now: int = NOW, zone: str = CHICAGO) -> CheckAnswer:
    return CheckAnswer(
        now=now,
        zone=zone,
        read_as_of=False,
        season="Second Coat",
        episodes=tuple(episodes),
        people=dict(PEOPLE),
        spaces=dict(SPACES),
        gear_titles=dict(GEAR),
        currency="USD",
    )


def season(
    *, zone: str = CHICAGO, calendar_id: str = "second-coat", others: Sequence[str] = ()
) -> Season:
    """A season whose one episode has a bench with a coat, a shot and a way out."""
    week = WeekHours((((18 * 60, 21 * 60),),) * 7)
    studio = Studio(
        name="Second Coat",
        zone=zone,
        release_rule=ReleaseRule(1, 4),
        calendar_id=calendar_id,
        currency="USD",
        people=tuple(
            Person(id=id, title=title, hours=week, place=HERE) for id, title in PEOPLE.items()
        ),
    )
    return Season(
        studio=studio,
        episodes=(
            _laundry("2027-05-laundry"),
            *(Episode(id=id, title=id, release=RELEASE, file=id, place=HERE) for id in others),
        ),
        now=NOW,
    )


def _laundry(id: str) -> Episode:
    oil = Coating(
        product="oil",
        title="Penetrating oil",
        times={
            "touch": Estimate(60, 60, 60),
            "recoat": Estimate(360, 360, 360),
            "handle": Estimate(1440, 1440, 1440),
        },
        recoat_by=2880,
        dries_by="oxidation",
    )
    steps = (
        Step(id="bench.cut", job="bench", title="Cut", hands=Estimate(60, 60, 60), place=HERE),
        *(
            Step(
                id=f"bench.{id}",
                job="bench",
                title=id.capitalize(),
                hands=Estimate(60, 60, 60),
                coating=oil,
                place=HERE,
            )
            for id in ("seal", "seal-again")
        ),
    )
    return Episode(
        id=id,
        title="Laundry room",
        release=RELEASE,
        jobs=(Job(id="bench", title="Folding bench", steps=steps, place=HERE),),
        shots=(
            Shot(
                id="grain",
                title="Raw grain",
                of=Ref("step", id, "bench.cut"),
                once=True,
                place=HERE,
            ),
        ),
        fallbacks=(
            Fallback(
                id="express",
                title="Pay for express",
                cost=45,
                parcel={"boards": NewLead(_lead())},
                hands={},
                coat={},
                air={},
                where={},
                place=HERE,
            ),
        ),
        file=f"{id}.toml",
        place=HERE,
    )


def _lead() -> Lead:
    return Lead(Estimate(1, 2, 3), True)


# ------------------------------------------------------------------ generated

ANY_TEXT = st.text(
    st.one_of(
        st.characters(exclude_categories=["Cs"]),
        st.sampled_from(',;:\\"\r\n\x00\x1b‮​é木'),
    ),
    max_size=60,
)
"""Titles and notes as somebody with bad intentions may write them."""


@st.composite
def stretches(draw: st.DrawFn, after: int, most: int = 3) -> tuple[Stretch, ...]:
    """Sessions after a minute: disjoint, rising, of a minute to five hours."""
    found: list[Stretch] = []
    at_minute = after
    for _ in range(draw(st.integers(1, most))):
        start = at_minute + draw(st.integers(0, 3000))
        at_minute = start + draw(st.integers(1, 300))
        found.append((start, at_minute))
    return tuple(found)


@st.composite
def step_rows(draw: st.DrawFn, number: int, now: int) -> StepRow:
    kind: Kind = draw(st.sampled_from(("hands", "shot", "wait", "dry")))
    state: State = draw(st.sampled_from(("open", "open", "started", "done", "dropped")))
    sessions = draw(stretches(now))
    start, finish = sessions[0][0], sessions[-1][1]
    if state == "done":
        finish = now - draw(st.integers(0, 9000))
        start = finish - draw(st.integers(0, 600))
        sessions = ()
    elif state == "started":
        start = now - draw(st.integers(0, 3000))
    elif draw(st.integers(0, 9)) == 0:
        return StepRow(
            id=f"job.{number}", episode="e", job="job", title="x", kind=kind, state="open"
        )
    return StepRow(
        id=f"job.{number}",
        episode="e",
        job="job",
        title=draw(ANY_TEXT),
        kind=kind,
        state=state,
        start=start,
        finish=finish,
        sessions=sessions,
        who=draw(st.sampled_from(((), ("host",), ("builder",), ("host", "builder")))),
        where=draw(st.sampled_from((None, "workshop", "somewhere"))),
        once=draw(st.booleans()),
        light=draw(st.sampled_from((None, "day", "dark"))),
        gear=draw(st.sampled_from(((), (("clamps", 4),), (("camera", 1),)))),
        cautions=tuple(draw(st.lists(ANY_TEXT, max_size=2))),
        note=draw(ANY_TEXT),
        coat_windows=draw(st.sampled_from(((), ((start, None),), ((start - 60, start + 60),)))),
    )


@st.composite
def parcel_rows(draw: st.DrawFn, number: int, now: int) -> ParcelRow:
    state: State = draw(st.sampled_from(("open", "started", "done", "dropped")))
    arrives = now + draw(st.integers(-9000, 9000))
    return ParcelRow(
        id=f"parcel-{number}",
        episode="e",
        title=draw(ANY_TEXT),
        kind=draw(st.sampled_from(("delivery", "pickup", "made", "answer"))),
        state=state,
        order_by=now + draw(st.integers(0, 9000)) if state == "open" else None,
        arrives=arrives,
        latest_arrival=draw(st.sampled_from((None, arrives))),
        ordered=arrives - 5000 if state in ("started", "done") else None,
        arrived=arrives if state == "done" else None,
        cost=draw(st.sampled_from((None, 12.0, 12.5))),
        return_by=draw(st.sampled_from((None, arrives + 20_000))),
        failed=draw(st.sampled_from((None, "damaged"))),
    )


@st.composite
def answers(draw: st.DrawFn) -> CheckAnswer:
    """Answers of one episode in any of the zones, with times around both changes of the clocks."""
    zone = draw(st.sampled_from(ZONES))
    first = at("2027-01-01 00:00", "UTC")
    now = first + draw(st.integers(0, 2 * 366 * 1440))
    steps = [draw(step_rows(number, now)) for number in range(draw(st.integers(0, 4)))]
    parcels = [draw(parcel_rows(number, now)) for number in range(draw(st.integers(0, 2)))]
    verdict: Verdict = draw(st.sampled_from(("meets", "slips", "released")))
    release = now + draw(st.integers(-20_000, 90_000))
    one = episode(steps, parcels, id="e", verdict=verdict, release=release, title=draw(ANY_TEXT))
    return answer(one, now=now, zone=zone)
