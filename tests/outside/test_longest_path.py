"""Early dates of random networks of waits equal the longest paths that networkx finds."""

from random import Random

import networkx
import pytest

from episodes.answers.check import check
from tests.small_season import season


@pytest.mark.parametrize("seed", range(8))
def test_early_dates_are_longest_paths(seed: int) -> None:
    random = Random(seed)
    count = random.randint(5, 40)
    graph = networkx.DiGraph()
    lines: list[str] = []
    for node in range(count):
        hours = random.randint(0, 30)
        preds = [p for p in range(node) if random.random() < min(0.5, 3 / (node + 1))]
        graph.add_node(node, hours=hours)
        for pred in preds:
            graph.add_edge(pred, node)
        after = ", ".join(f'"w{pred}.w"' for pred in preds)
        lines.append(
            f'[[job]]\nid = "w{node}"\nstep = [{{ id = "w", wait = "{hours}h", '
            f"after = [{after}] }}]"
        )
    read = season("\n".join(lines))
    answer = check(read).episodes[0]
    heads: dict[int, int] = {}
    for node in networkx.topological_sort(graph):
        heads[node] = max(
            (heads[p] + graph.nodes[p]["hours"] for p in graph.predecessors(node)), default=0
        )
        assert answer.step(f"w{node}.w").early_start == read.now + heads[node] * 60
    weighted = networkx.DiGraph()
    for node in graph:
        weighted.add_edge(("in", node), ("out", node), weight=graph.nodes[node]["hours"])
    for pred, node in graph.edges:
        weighted.add_edge(("out", pred), ("in", node), weight=0)
    longest = networkx.dag_longest_path_length(weighted)
    assert answer.ready_by == read.now + longest * 60
