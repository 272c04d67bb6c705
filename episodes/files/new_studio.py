"""What a studio must have so that an episode's recipes can be planned: spaces, gear, carriers.

For a season that is there already only what it lacks; for a new one the whole `studio.toml`.
"""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import time
from typing import Any

from episodes.files.plan_text import Bare, Block, block_text, section, written
from episodes.files.recipe_files import load_carriers, load_comings
from episodes.trade.builds import Build
from episodes.trade.recipes import Carrier

GEAR_TITLES = {
    "camera": "Camera and tripod",
    "clamps": "Bar clamps",
    "sander": "Random-orbit sander",
    "mitre-saw": "Mitre saw",
    "rack": "Drying rack",
    "computer": "Computer for the edit",
}
"""What people queue for; everything else lies in a drawer."""
EVENINGS = {"mon-fri": ["18:00-21:30"], "sat": ["09:00-17:00"]}


@dataclass(frozen=True, slots=True, kw_only=True)
class NewPerson:
    """Someone of a new studio; `hours` as a plan file writes them."""

    id: str
    title: str
    hours: Mapping[str, Sequence[str]]


@dataclass(frozen=True, slots=True, kw_only=True)
class NewStudio:
    """The answers that a new studio is written from; `at` None: nine o'clock."""

    name: str
    zone: str
    people: tuple[NewPerson, ...]
    on: str = "first friday"
    at: time = time(9)
    units: str = "metric"


@dataclass(frozen=True, slots=True, kw_only=True)
class Needs:
    """What is missing, and what is there under which id.

    Attributes:
        missing: tables to put into studio.toml.
        carriers: the studio's id for each usual carrier.
        gear: how many there are of each gear, the missing ones counted in.
    """

    missing: tuple[Block, ...]
    carriers: dict[str, str]
    gear: dict[str, int]


def needs(
    builds: Iterable[Build],
    *,
    spaces: Mapping[str, str],
    has_spaces: Iterable[str] = (),
    has_gear: Mapping[str, int] | None = None,
    has_carriers: Iterable[str] = (),
    comings: Iterable[str] = (),
) -> Needs:
    """What a studio lacks for these builds.

    Args:
        spaces: id and title of each space that they use.
        has_spaces, has_gear, has_carriers: what the studio has.
        comings: further ways for things to come that are used.
    """
    builds = list(builds)
    known = set(has_spaces)
    missing = [
        Block(kind="space", entries={"id": id, "title": title})
        for id, title in spaces.items()
        if id not in known
    ]
    gear = dict(has_gear or {})
    for id, count in _gear_of(builds).items():
        if id not in gear:
            gear[id] = count
            entries: dict[str, Any] = {"id": id, "title": GEAR_TITLES.get(id, id)}
            remarks = {}
            if count > 1:
                entries["count"] = count
                remarks["count"] = "as many as you have"
            missing.append(Block(kind="gear", entries=entries, remarks=remarks))
    carriers: dict[str, str] = {}
    there = set(has_carriers)
    for carrier in _carriers_of(builds, comings):
        like_it = [name for name in (carrier.id, *carrier.also) if name in there]
        if not like_it:
            missing.append(carrier_block(carrier))
        carriers[carrier.id] = like_it[0] if like_it else carrier.id
    return Needs(missing=tuple(missing), carriers=carriers, gear=gear)


def _gear_of(builds: Iterable[Build]) -> dict[str, int]:
    found = {"camera": 1}
    for build in builds:
        for step in build.steps:
            for id, count in step.gear:
                found[id] = max(count, found.get(id, 0))
    return found


def _carriers_of(builds: Iterable[Build], comings: Iterable[str]) -> list[Carrier]:
    ways = {purchase.buy.kind for build in builds for purchase in build.purchases}
    used = {load_comings()[way].carrier for way in ways | set(comings)}
    return [carrier for id, carrier in load_carriers().items() if id in used]


def carrier_block(carrier: Carrier) -> Block:
    """A usual carrier as a table of studio.toml."""
    entries: dict[str, Any] = {
        "id": carrier.id,
        "title": carrier.title,
        "days": carrier.days,
    }
    if not carrier.keeps_holidays:
        entries["keeps_holidays"] = False
    if carrier.cutoff is not None:
        entries["cutoff"] = _clock(carrier.cutoff)
    entries["arrives_at"] = _clock(carrier.arrives_at)
    return Block(kind="carrier", entries=entries)


def studio_text(studio: NewStudio, missing: Sequence[Block]) -> str:
    """The whole of a new studio.toml, with what can be added said in comments."""
    release = {"on": studio.on, "at": Bare(studio.at.isoformat())}
    lines = [
        "# Who works when, where, with what: what seldom changes. All of it is yours to edit.\n",
        f"name = {written(studio.name)}\n",
        f"timezone = {written(studio.zone)}\n",
        f"release = {written(release)}\n",
        f"units = {written(studio.units)}\n",
        '# holidays = "US"                       # country or country-part: public holidays\n',
        "# place = { latitude = 41.9, longitude = -87.6 }   # for sunrise and sunset\n",
        "\n",
        section("people"),
    ]
    for index, person in enumerate(studio.people):
        block = Block(
            kind="person",
            entries={
                "id": person.id,
                "title": person.title,
                "hours": {key: list(windows) for key, windows in person.hours.items()},
            },
            comments=("The first person does whatever names nobody.",) if index == 0 else (),
        )
        lines += [block_text(block), "\n"]
    for kind, title in (("space", "places"), ("gear", "gear"), ("carrier", "carriers")):
        blocks = [block for block in missing if block.kind == kind]
        if blocks:
            lines += [section(title), *(f"{block_text(block)}\n" for block in blocks)]
    lines += [
        section("what every shot has unless it says otherwise"),
        "[defaults.shot]\n",
        f"who = {written([studio.people[0].id])}\n",
        'gear = ["camera"]\n',
    ]
    return "".join(lines)


def _clock(minute: int) -> Bare:
    return Bare(time(minute // 60, minute % 60).isoformat())
