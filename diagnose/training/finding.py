"""Causes found by what a learner types: an id, or words of its sentence and its part.

Takes the knowledge base and words, gives cause ids; may import knowledge.
"""

from __future__ import annotations

import re

from diagnose.knowledge.base import Knowledge
from diagnose.knowledge.validate import suggest
from diagnose.ranking.network import UNLISTED

_MOST = 12


def find_causes(knowledge: Knowledge, words: str) -> tuple[str, ...]:
    """Find the causes that share most words with what was typed; of a part all.

    Args:
        knowledge: The rule base.
        words: What was typed.

    Returns:
        Ids, nearest first, ties by id.
    """
    part = tuple(name for name, cause in knowledge.causes.items() if cause.part == words.strip().lower())
    if part:
        return part
    said = _fold(words)
    scored = sorted(
        (-len(shared), len(meant), name)
        for name, cause in knowledge.causes.items()
        if (shared := said & (meant := _fold(f"{name} {cause.says} {cause.part}")))
    )
    return tuple(name for _, _, name in scored[:_MOST])


def name_cause(knowledge: Knowledge, words: str) -> str:
    """Give the id that was typed.

    Raises:
        ValueError: It is no id; names the nearest causes.
    """
    name = "_".join(words.lower().split())
    if name == UNLISTED or name.partition(".")[0] in knowledge.causes:
        return name
    near = find_causes(knowledge, words)[:4]
    cure = (
        f"nearest: {', '.join(near)}" if near else suggest(name, knowledge.causes, "type causes to list them")
    )
    raise ValueError(f"no cause '{words[:60]}'; {cure}")


def _fold(words: str) -> frozenset[str]:
    return frozenset(word[:6] for word in re.findall(r"[a-z0-9]{2,}", words.lower().replace("_", " ")))
