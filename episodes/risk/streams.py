"""A stream of chance of its own for everything that is drawn, named by what it is for.

Each stream is a permutation of the same normal scores (a Latin hypercube: every draw hits every
percentile once), shuffled by a generator whose key is made of the seed and the name alone. So an
edit of one activity, a new order of the file or a step more changes no other activity's draws.
What rises and falls together (one person's work, one carrier's parcels, the drying in one space)
shares a factor: a Gaussian copula, which leaves each distribution as it is.
"""

from collections.abc import Sequence
from functools import lru_cache
from hashlib import blake2b
from math import sqrt
from statistics import NormalDist

import numpy as np

from episodes.risk.estimates import Scores


@lru_cache(maxsize=4)
def normal_scores(count: int) -> Scores:
    """The middles of `count` equally likely parts of the normal distribution, rising."""
    normal = NormalDist()
    half = [normal.inv_cdf((k + 0.5) / count) for k in range(count // 2)]
    middle = [0.0] if count % 2 else []
    scores = np.array([*half, *middle, *(-z for z in reversed(half))])
    scores.flags.writeable = False
    return scores


class Streams:
    """Normal scores by name.

    Args:
        correlation: of what shares a factor, from 0 (independent) to 1.
    """

    def __init__(self, seed: int, samples: int, correlation: float) -> None:
        self.seed = seed
        self.samples = samples
        self.correlation = correlation
        self._factors: dict[str, Scores] = {}

    def own(self, name: str) -> Scores:
        """The scores of one name, independent of every other's."""
        key = blake2b(f"{self.seed}|{name}".encode(), digest_size=16).digest()
        generator = np.random.Generator(np.random.Philox(key=int.from_bytes(key, "big")))
        return generator.permutation(normal_scores(self.samples))

    def scores(self, name: str, factors: Sequence[str] = ()) -> Scores:
        """The scores of one name, sharing the named factors with others that have them.

        Several factors (a step of two people) count as their average, brought back to spread 1.
        """
        own = self.own(name)
        if not factors or self.correlation == 0:
            return own
        shared = sum((self._factor(factor) for factor in factors), np.zeros(self.samples))
        weight = sqrt(self.correlation / len(factors))
        return shared * weight + own * sqrt(1 - self.correlation)

    def _factor(self, name: str) -> Scores:
        if name not in self._factors:
            self._factors[name] = self.own(name)
        return self._factors[name]
