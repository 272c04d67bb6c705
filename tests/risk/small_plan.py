"""Small plans for the tests of chance, and their samples in one call."""

from dataclasses import dataclass, replace
from pathlib import Path
from tempfile import TemporaryDirectory

from episodes.answers.planning import Planning, plan_season
from episodes.files.reading import read_season
from episodes.risk.draws import Draws, Rows, as_planned
from episodes.risk.layout import Layout, lay_out
from episodes.risk.sampler import Sampler
from episodes.risk.streams import Streams
from episodes.risk.sweep import Sweep
from episodes.trade import __path__ as trade
from tests.reference.generate import write
from tests.reference.referee import products
from tests.small_season import season

PRODUCTS = products(Path(trade[0]) / "products.toml")
EPISODE = "2027-04-test"


@dataclass(frozen=True)
class Played:
    """A plan in samples."""

    planning: Planning
    layout: Layout
    sampler: Sampler
    draws: Draws
    planned: Draws
    sweep: Sweep

    def index(self, id: str, episode: str = EPISODE) -> int:
        return self.planning.network.index[episode, id]


def play(
    planning: Planning,
    *,
    samples: int = 10_000,
    seed: int = 1,
    correlation: float = 0.0,
    streams: type[Streams] = Streams,
) -> Played:
    layout = lay_out(planning.retimer, planning.network.now)
    rows = Rows(layout)
    sampler = Sampler(rows, streams(seed, samples, correlation))
    draws = sampler.draw()
    planned = as_planned(rows)
    return Played(planning, layout, sampler, draws, planned, Sweep(layout, draws).run())


def generated(seed: int, steps: int = 40) -> Planning:
    """A season out of the generator, planned."""
    with TemporaryDirectory() as folder:
        write(seed, steps, Path(folder), PRODUCTS)
        return plan_season(read_season(Path(folder), clock=30_000_000))


def waits(steps: dict[str, tuple[str, str]], release: str) -> Planning:
    """A network of waits: length and predecessors by id; nothing but links holds them."""
    lines = [f"release = {release}", "[[job]]", 'id = "net"']
    for id, (length, before) in steps.items():
        after = ", ".join(f'"{other}"' for other in before.split())
        lines += ["[[job.step]]", f'id = "{id}"', f'wait = "{length}"', f"after = [{after}]"]
    return plan_season(season("\n".join(lines)))


def with_earliest(layout: Layout, index: int, minute: int) -> Layout:
    """The same plan with one start held back to `minute`, from the origin."""
    earliest = list(layout.earliest)
    earliest[index] = max(earliest[index], minute)
    return replace(layout, earliest=tuple(earliest))
