"""Public single-mode project instances as seasons of waits that use gear.

Kolisch, Sprecher: "PSPLIB - A project scheduling problem library", European Journal of Operational
Research 96 (1997) 205-216. The numbers come from the copy in the MiniZinc benchmark suite (MIT
licence), the supersource and supersink left out; the makespans' sources stand in the data files.
"""

from dataclasses import dataclass
from functools import cache
from pathlib import Path

from episodes.model.season import Season
from tests.small_season import season

HERE = Path(__file__).parent
PERIOD = 60
"""Minutes of one period of an instance."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Instance:
    """One project: durations in periods, `requests[r][j]` units of resource r for job j.

    Attributes:
        best: the least makespan known; `optimal` where it is proved.
        successors: by job, numbered from 0.
    """

    name: str
    best: int
    optimal: bool
    capacities: tuple[int, ...]
    durations: tuple[int, ...]
    requests: tuple[tuple[int, ...], ...]
    successors: tuple[tuple[int, ...], ...]


@cache
def instances(size: int) -> tuple[Instance, ...]:
    """The instances of a size kept here: 30, 60 or 120 jobs."""
    text = (HERE / f"psplib_j{size}.txt").read_text(encoding="utf-8")
    blocks = text.split("\n\n")
    return tuple(_instance(block) for block in blocks if not block.startswith("#"))


def _instance(block: str) -> Instance:
    fields: dict[str, list[str]] = {}
    for line in block.strip().splitlines():
        word, _, rest = line.partition(" ")
        fields.setdefault(word, []).append(rest)
    best, *proof = fields["best"][0].split()
    return Instance(
        name=fields["name"][0],
        best=int(best),
        optimal=bool(proof),
        capacities=_numbers(fields["capacities"][0]),
        durations=_numbers(fields["durations"][0]),
        requests=tuple(_numbers(row) for row in fields["requests"]),
        successors=tuple(
            tuple(j - 1 for j in _numbers(part)) for part in fields["successors"][0].split(",")
        ),
    )


def _numbers(text: str) -> tuple[int, ...]:
    return tuple(int(word) for word in text.split())


def season_of(instance: Instance, *, release: str = "2028-06-02T09:00:00") -> Season:
    """The instance as one episode: every job a wait of hours, every resource a gear."""
    before: dict[int, list[int]] = {}
    for job, following in enumerate(instance.successors):
        for other in following:
            before.setdefault(other, []).append(job)
    lines = [f"release = {release}", "[[job]]", 'id = "p"']
    for job, periods in enumerate(instance.durations):
        gear = ", ".join(
            f"r{r} = {row[job]}" for r, row in enumerate(instance.requests) if row[job]
        )
        after = ", ".join(f'"j{other}"' for other in before.get(job, ()))
        lines += [
            "[[job.step]]",
            f'id = "j{job}"',
            f'wait = "{periods * PERIOD}min"',
            f"after = [{after}]",
            *([f"gear = {{ {gear} }}"] if gear else []),
        ]
    gears = "\n".join(
        f'[[gear]]\nid = "r{r}"\ncount = {count}' for r, count in enumerate(instance.capacities)
    )
    return season("\n".join(lines) + "\n", as_of="2027-03-01T00:00:00", spaces=gears)
