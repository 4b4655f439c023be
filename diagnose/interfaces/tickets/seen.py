"""Ids seen so far, eight bytes each, so that a million of them stay small.

Takes ids, tells which came before; imports nothing of ours.
"""

from __future__ import annotations

from collections.abc import Sequence
from hashlib import blake2b

import numpy as np
from numpy.typing import NDArray

Digests = NDArray[np.uint64]


class SeenIds:
    """A growing set of ids, kept as sorted runs of digests that are merged when equally long.

    Two different ids in a million share a digest with a chance of one in thirty million.
    """

    def __init__(self) -> None:
        """Start with none."""
        self._runs: list[Digests] = []

    def add(self, ids: Sequence[str]) -> list[bool]:
        """Add ids and tell of each whether it was there before, in this call too."""
        digests = np.array(
            [int.from_bytes(blake2b(name.encode(), digest_size=8).digest()) for name in ids], dtype=np.uint64
        )
        _, first = np.unique(digests, return_index=True)
        known = np.ones(len(digests), dtype=bool)
        known[first] = False
        for run in self._runs:
            places = np.minimum(np.searchsorted(run, digests), len(run) - 1)
            known |= run[places] == digests
        self._keep(np.unique(digests))
        return [bool(one) for one in known]

    def _keep(self, run: Digests) -> None:
        while self._runs and len(self._runs[-1]) <= len(run):
            run = np.union1d(self._runs.pop(), run)
        if len(run):
            self._runs.append(run)
