"""Typed words become the observations they may mean, nearest first, for the caller to confirm.

Takes words and the knowledge base, gives observation ids; may import knowledge.
"""

from __future__ import annotations

import re
from functools import lru_cache

from diagnose.knowledge.base import Knowledge

# Words that carry no meaning in a complaint.
_EMPTY = frozenset(
    [
        "a",
        "an",
        "and",
        "are",
        "as",
        "at",
        "be",
        "by",
        "do",
        "does",
        "for",
        "from",
        "get",
        "has",
        "have",
        "in",
        "is",
        "it",
        "its",
        "of",
        "on",
        "or",
        "that",
        "the",
        "then",
        "there",
        "this",
        "to",
        "unit",
        "valve",
        "actuator",
        "when",
        "with",
        "while",
        "will",
        "keeps",
    ]
)
# Ways people say a thing, folded onto the word the rule base uses.
_SAID_FOR = {
    "shut": "closed",
    "closing": "closed",
    "close": "closed",
    "opening": "open",
    "opens": "open",
    "feedback": "position",
    "hunting": "hunts",
    "hunt": "hunts",
    "oscillates": "hunts",
    "trips": "trip",
    "tripped": "trip",
    "tripping": "trip",
    "stop": "stops",
    "stopped": "stops",
    "overtravel": "past",
    "overtravels": "past",
    "leaks": "passes",
    "leaking": "passes",
    "slowly": "slow",
    "dead": "move",
    "moves": "move",
    "moving": "move",
}


def find_observations(knowledge: Knowledge, words: str, most: int = 3) -> tuple[str, ...]:
    """Find the observations whose sentence shares the most telling words with a complaint.

    Args:
        knowledge: The knowledge base.
        words: What the caller typed.
        most: How many to give at most.

    Returns:
        Observation ids, best first, ties by id; empty when nothing is shared.
    """
    said = _fold(words)
    scored = []
    for name, observation in knowledge.observations.items():
        if observation.derived:
            continue
        meant = _fold(f"{observation.says} {name.replace('_', ' ')}")
        shared = said & meant
        if shared:
            scored.append((-len(shared) / (len(said) + len(meant)) ** 0.5, name))
    return tuple(name for _, name in sorted(scored)[:most])


@lru_cache(maxsize=1024)
def _fold(words: str) -> frozenset[str]:
    found = re.findall(r"[a-z0-9]+", words.lower())
    return frozenset(_SAID_FOR.get(word, word) for word in found if word not in _EMPTY)
