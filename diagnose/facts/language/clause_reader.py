"""The second reader: what clauses seem to say, and which causes' tickets read alike, learned from written tickets.

Takes sentences, gives mentions and likeness; may import clauses, clause features and the facts' model.

Two logistic regressions over the same words: of a clause, with one class for every observation present or absent and
one for "says nothing of the list"; of a whole ticket, with one class for every cause, one for "about another device"
and one for "says too little". A text's features are weighed down by their root sum of squares, as vectors of term
weights usually are (Salton and Buckley, Information Processing & Management 24, 1988). It is fitted by
`tests/benchmarks/fit_clauses.py` and kept in `rules/language/clauses.npz`.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from math import log10
from pathlib import Path
from zipfile import BadZipFile

import numpy as np
from numpy.typing import NDArray

from diagnose.errors import RulesFaulty, fault_in_file
from diagnose.facts.language.clause_features import Key, expand, list_keys
from diagnose.facts.language.clauses import Clause, cut_clauses
from diagnose.facts.language.patterns import Lexicon
from diagnose.facts.language.tokens import Sentence
from diagnose.facts.model import Mention, Origin, OriginKind, State

Floats = NDArray[np.float32]

# What a clause may say is kept for its likeliest readings only.
KEPT = 8
# Rows that are remembered, 2 kB each, and keys with or without one.
REMEMBERED = 20_000
MOST_KEYS = 200_000
NOTHING = "nothing"
# Classes of tickets without a cause of ours, behind the causes.
OTHER_DEVICE, TOO_LITTLE = "none_covered", "insufficient"
# A chance of 0 counts as this, and so does the size of a text without known words.
LEAST = 1e-9


@dataclass(frozen=True, eq=False)
class ClauseModel:
    """A fitted model.

    Attributes:
        features: Row of each feature.
        weights: By feature and class: of clauses, of tickets; whole numbers of -127 to 127.
        scales: What one step stands for, in each of the two for each feature.
        squares: What each feature adds to the sum of squares.
        bias: By class.
        classes: (observation, state) of every class of clauses but the last, which says nothing.
        tickets: The classes of tickets: every cause, `OTHER_DEVICE` and `TOO_LITTLE` last.
        shares: Share of each class among the written tickets.
    """

    features: dict[str, int]
    weights: NDArray[np.int8]
    scales: Floats
    squares: Floats
    bias: Floats
    classes: tuple[tuple[str, State], ...]
    tickets: tuple[str, ...]
    shares: Floats

    @property
    def widths(self) -> tuple[int, int]:
        """Count the classes of the two: clauses ("nothing" among them) and tickets."""
        return len(self.classes) + 1, len(self.tickets)


@dataclass(frozen=True)
class Heard:
    """What the second reader makes of a ticket; mentions and likeness are those of `Evidence`.

    Attributes:
        other_device: Decibans by which it reads like a ticket about another device.
    """

    mentions: tuple[Mention, ...] = ()
    likeness: tuple[tuple[str, float], ...] = ()
    other_device: float = 0.0


def load_clause_model(path: Path) -> ClauseModel | None:
    """Load a fitted model; None where a rule base has none.

    Args:
        path: The file that `fit_clauses.py` wrote.

    Raises:
        RulesFaulty: The file is damaged or is no such model.
    """
    if not path.is_file():
        return None
    try:
        return _read_model(path)
    except (ValueError, KeyError, OSError, BadZipFile) as error:
        wrong, cure = (
            "no model of clauses, or a damaged one",
            "fit it again with tests/benchmarks/fit_clauses.py",
        )
        raise RulesFaulty([fault_in_file(path, "clause-model", wrong, cure)]) from error


def _read_model(path: Path) -> ClauseModel:
    with np.load(path, allow_pickle=False) as kept:
        names = bytes(kept["features"]).decode().split("\n")
        classes = [name.split("=") for name in bytes(kept["classes"]).decode().split("\n")]
        return ClauseModel(
            features={name: row for row, name in enumerate(names)},
            weights=kept["weights"],
            scales=kept["scales"],
            squares=kept["squares"],
            bias=kept["bias"],
            tickets=tuple(bytes(kept["tickets"]).decode().split("\n")),
            shares=kept["shares"],
            classes=tuple((observation, State(state)) for observation, state in classes),
        )


class ClauseReader:
    """Reads clauses by a fitted model; remembers the row of every word and pair of words it meets."""

    def __init__(self, model: ClauseModel, lexicon: Lexicon) -> None:
        """Start with nothing remembered."""
        self._model, self._lexicon = model, lexicon
        self._forget()

    def _forget(self) -> None:
        self._known: dict[Key, int] = {}
        # row 0 stays empty: it stands for all words and pairs that the model does not know
        self._used = 1
        self._rows = np.zeros((256, len(self._model.bias) + 1), dtype=np.float32)

    def read(self, columns: Iterable[tuple[str, Iterable[Sentence]]]) -> Heard:
        """Say what each clause of a ticket seems to say, and what its whole reads like.

        Args:
            columns: Each text of the ticket and the sentences it was cut into.
        """
        if len(self._known) > MOST_KEYS or self._used > REMEMBERED:
            self._forget()
        clauses = [(text, clause) for text, cut in columns for clause in cut_clauses(cut)]
        if not clauses:
            return Heard()
        sums = self._add_clauses([clause for _, clause in clauses])
        of_clauses = self._model.widths[0]
        chances = find_chances(self._find_logits(sums)[:, :of_clauses])
        mentions = (self._mention(*clause, row) for clause, row in zip(clauses, chances, strict=True))
        is_whole = [clause.is_sentence for _, clause in clauses]
        whole = sums[is_whole].sum(axis=0, keepdims=True)
        (alike,) = find_chances(self._find_logits(whole)[:, of_clauses:])
        return Heard(tuple(mentions), tuple(self._find_likeness(alike)), _weigh_other(alike))

    def _find_likeness(self, alike: Floats) -> Iterator[tuple[str, float]]:
        """Give each cause's likeness among our own tickets; one that says too little reads like any of them."""
        too_little = float(alike[-1])
        ours, shares = alike[:-2], self._model.shares[:-2]
        ratios = (ours / max(float(ours.sum()), LEAST)) / (shares / shares.sum())
        likeness = np.log(np.maximum(too_little + (1 - too_little) * ratios, LEAST)).tolist()
        yield from zip(self._model.tickets, likeness, strict=False)

    def _add_clauses(self, clauses: list[Clause]) -> Floats:
        """Add up the rows of each clause; no clause is empty."""
        places = [self._list_places(clause) for clause in clauses]
        starts = np.cumsum([0, *map(len, places[:-1])])
        return np.add.reduceat(self._rows[[place for of_clause in places for place in of_clause]], starts)

    def _list_places(self, clause: Clause) -> list[int]:
        known = self._known
        places = [known[key] if key in known else self._place(key) for key in list_keys(clause.tokens)]
        return [place for place in places if place] or [0]

    def _place(self, key: Key) -> int:
        features = self._model.features
        rows = [features[f] for f in expand(key, self._lexicon) if f in features]
        place = self._known[key] = self._used if rows else 0
        if rows:
            if place == len(self._rows):
                self._rows = np.concatenate([self._rows, np.zeros_like(self._rows)])
            self._rows[place] = self._add_up(rows)
            self._used += 1
        return place

    def _add_up(self, rows: list[int]) -> Floats:
        """Add up the weights of features, their sum of squares behind."""
        model = self._model
        scales = np.repeat(model.scales[rows], model.widths, axis=1)
        return np.append((model.weights[rows] * scales).sum(axis=0), model.squares[rows].sum())

    def _find_logits(self, sums: Floats) -> Floats:
        """Give the logit of each class for each row of sums."""
        size = np.sqrt(np.maximum(sums[:, -1:], LEAST))
        return np.asarray(sums[:, :-1] / size + self._model.bias, dtype=np.float32)

    def _mention(self, text: str, clause: Clause, chances: Floats) -> Mention:
        likeliest = np.argpartition(-chances[:-1], KEPT)[:KEPT]
        start, end = clause.start, clause.end
        return Mention(
            origin=Origin(OriginKind.READER, text[start:end], start, end),
            weight=clause.weight,
            chances=tuple(sorted((*self._model.classes[c], float(chances[c])) for c in likeliest)),
            nothing=float(chances[-1]),
        )


def find_chances(logits: Floats) -> Floats:
    """Give the chances behind logits, a row a text."""
    odds = np.exp(logits - logits.max(axis=1, keepdims=True))
    return np.asarray(odds / odds.sum(axis=1, keepdims=True), dtype=np.float32)


def _weigh_other(alike: Floats) -> float:
    other = min(max(float(alike[-2]), LEAST), 1 - LEAST)
    return 10 * log10(other / (1 - other))
