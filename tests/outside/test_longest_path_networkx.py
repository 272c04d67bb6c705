"""networkx as a second opinion on longest paths: random networks of waits.

With no hours, people or places, early starts are longest paths from the beginning, and late
starts what longest paths leave before the release.
"""

from datetime import datetime, timedelta
from pathlib import Path
from random import Random

import networkx as nx
import pytest

from tests.asking import answer, row, season

START = datetime.fromisoformat("2027-04-05T08:00:00+00:00")
RELEASE = datetime.fromisoformat("2027-09-03T09:00:00+00:00")
STUDIO = (
    'name = "Net"\ntimezone = "UTC"\nas_of = 2027-04-05T08:00:00\n'
    '[[person]]\nid = "host"\nhours = { daily = ["09:00-17:00"] }\n'
)


def _network(seed: int) -> tuple[str, nx.DiGraph]:
    """The text of an episode and the graph of its activities.

    A node for each start and each finish; an edge's weight is the least time between them.
    """
    random = Random(seed)
    graph = nx.DiGraph()
    lines = ["release = 2027-09-03T09:00:00Z", "[[job]]", 'id = "net"']
    for number in range(random.randint(5, 60)):
        length = random.choice([0, random.randint(1, 3000)])
        graph.add_edge(("S", number), ("F", number), weight=length)
        entries = []
        for earlier in random.sample(range(number), min(number, random.randint(0, 3))):
            gap = random.choice([0, 0, random.randint(1, 2000)])
            start, finish = random.random() < 0.25, random.random() < 0.25
            graph.add_edge(
                ("S" if start else "F", earlier), ("F" if finish else "S", number), weight=gap
            )
            entry = f'step = "s{earlier}", gap = "{gap}min"'
            entry += ', from = "start"' if start else ""
            entry += ', to = "finish"' if finish else ""
            entries.append(f"{{ {entry} }}")
        lines += ["[[job.step]]", f'id = "s{number}"', f'wait = "{length}min"']
        lines.append(f"after = [{', '.join(entries)}]")
    return "\n".join(lines), graph


@pytest.mark.parametrize("seed", range(12))
def test_dates_of_waits_are_longest_paths(seed: int, tmp_path: Path) -> None:
    """Early start: the longest path to it; late finish: the release less the longest path on.

    A wait begins as late as its finish demands: a bound on the finish moves its start too.
    """
    text, graph = _network(seed)
    # Start and finish of a wait are tied: what bounds the finish bounds the start, less its length.
    count = graph.number_of_nodes() // 2
    tied = graph.copy()
    for number in range(count):
        length = graph.edges[("S", number), ("F", number)]["weight"]
        tied.add_edge(("F", number), ("S", number), weight=-length)
    source, sink = "begin", "end"
    for number in range(count):
        tied.add_edge(source, ("S", number), weight=0)
        tied.add_edge(("F", number), sink, weight=0)
    minus = nx.DiGraph()
    minus.add_weighted_edges_from((a, b, -w) for a, b, w in tied.edges.data("weight"))
    early = nx.single_source_bellman_ford_path_length(minus, source)
    onward = nx.single_source_bellman_ford_path_length(minus.reverse(), sink)

    record = answer(season(tmp_path, STUDIO, sep_2027=text))
    for number in range(count):
        step = row(record, f"net.s{number}")
        start = START + timedelta(minutes=-early["S", number])
        finish = RELEASE - timedelta(minutes=-onward["F", number])
        assert datetime.fromisoformat(step["early_start"]) == start, number
        assert datetime.fromisoformat(step["late_finish"]) == finish, number
    ready = START + timedelta(minutes=-early[sink])
    assert datetime.fromisoformat(record["episodes"][0]["ready_by"]) == ready


@pytest.mark.parametrize("seed", range(12, 16))
def test_critical_waits_lie_on_a_longest_path(seed: int, tmp_path: Path) -> None:
    """A wait is critical when one minute more makes the longest path longer."""
    random = Random(seed)
    graph = nx.DiGraph()
    lines = ["release = 2027-09-03T09:00:00Z", "[[job]]", 'id = "net"']
    for number in range(40):
        length = random.randint(1, 40) * 60
        earlier = random.sample(range(number), min(number, random.randint(1, 3)))
        graph.add_node(number, length=length)
        graph.add_edges_from((other, number) for other in earlier)
        names = ", ".join(f'"s{other}"' for other in earlier)
        lines += [
            "[[job.step]]",
            f'id = "s{number}"',
            f'wait = "{length}min"',
            f"after = [{names}]",
        ]

    def longest(more: int | None) -> int:
        weighed = nx.DiGraph()
        for node, length in graph.nodes.data("length"):
            weighed.add_edge("begin", ("S", node), weight=0)
            weighed.add_edge(("S", node), ("F", node), weight=length + (node == more))
        weighed.add_edges_from((("F", one), ("S", two)) for one, two in graph.edges)
        return int(nx.dag_longest_path_length(weighed, default_weight=0))

    record = answer(season(tmp_path, STUDIO, sep_2027="\n".join(lines)))
    base = longest(None)
    for number in range(40):
        assert row(record, f"net.s{number}")["critical"] == (longest(number) > base), number
