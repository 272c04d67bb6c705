"""Which nodes of a graph lie on a circle: strongly connected components of more than one."""

from collections.abc import Sequence


def on_circles(after: Sequence[Sequence[int]]) -> set[int]:
    """Nodes that can come back to themselves.

    Tarjan, "Depth-first search and linear graph algorithms", SIAM Journal on Computing 1 (1972)
    146-160, without recursion, so that long chains need no deep stack.

    Args:
        after: the nodes that follow each node.

    >>> sorted(on_circles([[1], [2], [1, 3], []]))
    [1, 2]
    """
    count = len(after)
    number = [-1] * count
    low = [0] * count
    standing = [False] * count
    stack: list[int] = []
    found: set[int] = set()
    clock = 0
    for root in range(count):
        if number[root] >= 0:
            continue
        work = [(root, 0)]
        while work:
            node, at = work.pop()
            if at == 0:
                number[node] = low[node] = clock
                clock += 1
                stack.append(node)
                standing[node] = True
            descended = False
            for k in range(at, len(after[node])):
                other = after[node][k]
                if number[other] < 0:
                    work.append((node, k + 1))
                    work.append((other, 0))
                    descended = True
                    break
                if standing[other]:
                    low[node] = min(low[node], number[other])
            if descended:
                continue
            if low[node] == number[node]:
                component = []
                while True:
                    other = stack.pop()
                    standing[other] = False
                    component.append(other)
                    if other == node:
                        break
                if len(component) > 1:
                    found.update(component)
            if work:
                parent = work[-1][0]
                low[parent] = min(low[parent], low[node])
    return found
