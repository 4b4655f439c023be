"""Fewer looks for the planner: those that tell most, and most for their minutes.

Takes looks with their chances, gives the ones worth planning with; may import the array modules. A whole
rule base offers some two hundred looks; all but a few dozen tell next to nothing of the unit at hand.
"""

from __future__ import annotations

from collections.abc import Collection, Mapping

import numpy as np

from diagnose.knowledge.acting import Inspection
from diagnose.next_step.problem import Floats

Looks = Mapping[str, tuple[Inspection, tuple[str, ...]]]

# Walking up to the next question takes time too: estimate, common practice, no source.
LEAST_MINUTES = 1.0


def screen_looks(
    looks: Looks,
    shown: Mapping[str, Floats],
    weights: Floats,
    *,
    access_minutes: Mapping[str, float],
    needed: Collection[str],
    most: int,
) -> dict[str, tuple[Inspection, tuple[str, ...]]]:
    """Keep the looks that tell most in bits, and in bits a minute, and those that repairs wait for.

    Args:
        looks: Looks by id, with the observations that each would newly reveal.
        shown: P(observation present | set) of these observations.
        weights: Weights of the sets.
        access_minutes: Minutes to each access state from the present one.
        needed: Observations that repairs wait for.
        most: How many to keep besides the needed ones.

    Returns:
        The looks kept, in their order.
    """
    if len(looks) <= most:
        return dict(looks)
    told = measure_bits(shown, weights)
    bits = {name: sum(told[o] for o in new) for name, (_, new) in looks.items()}
    rate = {
        name: bits[name] / (LEAST_MINUTES + look.minutes + access_minutes[look.access])
        for name, (look, _) in looks.items()
    }
    by_bits = sorted(looks, key=lambda name: (-bits[name], name))[: most // 2]
    by_rate = sorted(looks, key=lambda name: (-rate[name], name))[: most - most // 2]
    kept = {*by_bits, *by_rate, *(name for name, (_, new) in looks.items() if set(new) & set(needed))}
    return {name: pair for name, pair in looks.items() if name in kept}


def measure_bits(shown: Mapping[str, Floats], weights: Floats) -> dict[str, float]:
    """Measure how many bits each yes/no answer tells of the sets: their mutual information."""
    names = sorted(shown)
    chances = np.array([shown[name] for name in names])
    share = weights / weights.sum()
    mean = chances @ share
    return dict(zip(names, (measure_entropy(mean) - measure_entropy(chances) @ share).tolist(), strict=True))


def measure_entropy(chance: Floats) -> Floats:
    """Measure the entropy of yes/no answers in bits; a certain answer has none.

    Args:
        chance: P(yes), of any shape.
    """
    bounded = np.clip(chance, 1e-12, 1 - 1e-12)
    return np.asarray(-(bounded * np.log2(bounded) + (1 - bounded) * np.log2(1 - bounded)))
