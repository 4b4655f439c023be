"""The second reader: what a clause seems to say, by a linear model over its words, learned from written tickets.

Takes sentences, gives mentions; may import clauses, clause features and the facts' model.

The model is a multinomial logistic regression with one class for every observation present or absent and one for
"says nothing of the list". A clause's features are weighed down by their root sum of squares, as vectors of term
weights usually are (Salton and Buckley, Information Processing & Management 24, 1988). It is fitted by
`tests/benchmarks/fit_clauses.py` and kept in `rules/language/clauses.npz`.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
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
# Keys whose rows are remembered, 2 kB each.
REMEMBERED = 20_000
NOTHING = "nothing"


@dataclass(frozen=True, eq=False)
class ClauseModel:
    """A fitted model.

    Attributes:
        features: Row of each feature.
        weights: By feature and class, as whole numbers of -127 to 127.
        scales: What one step of a feature's row stands for.
        squares: What each feature adds to the sum of squares.
        bias: By class.
        classes: (observation, state) of every class but the last, which says nothing.
    """

    features: dict[str, int]
    weights: NDArray[np.int8]
    scales: Floats
    squares: Floats
    bias: Floats
    classes: tuple[tuple[str, State], ...]


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
        self._rows = np.zeros((256, len(self._model.bias) + 1), dtype=np.float32)

    def read(self, text: str, sentences: Iterable[Sentence]) -> tuple[Mention, ...]:
        """Say what each clause of a text seems to say.

        Args:
            text: The text the sentences were cut from.
            sentences: Its sentences.

        Returns:
            A mention for every clause that may say something of the list.
        """
        if len(self._known) > REMEMBERED:
            self._forget()
        clauses = list(cut_clauses(sentences))
        if not clauses:
            return ()
        places = [[self._place(key) for key in list_keys(clause.tokens)] for clause in clauses]
        chances = self._weigh(places)
        return tuple(self._mention(text, clause, row) for clause, row in zip(clauses, chances, strict=True))

    def _place(self, key: Key) -> int:
        place = self._known.get(key)
        if place is None:
            place = self._known[key] = len(self._known)
            if place == len(self._rows):
                self._rows = np.concatenate([self._rows, np.zeros_like(self._rows)])
            self._rows[place] = self._add_up(key)
        return place

    def _add_up(self, key: Key) -> Floats:
        """Add up the weights of a key's features, their sum of squares behind."""
        model = self._model
        rows = [model.features[f] for f in expand(key, self._lexicon) if f in model.features]
        weights = (model.weights[rows] * model.scales[rows, None]).sum(axis=0)
        return np.append(weights, model.squares[rows].sum())

    def _weigh(self, places: list[list[int]]) -> Floats:
        """Give the chance of each class for each clause; no clause is empty."""
        starts = np.cumsum([0, *map(len, places[:-1])])
        sums = np.add.reduceat(self._rows[[place for of_clause in places for place in of_clause]], starts)
        size = np.sqrt(np.maximum(sums[:, -1:], 1e-9))
        logits = sums[:, :-1] / size + self._model.bias
        odds = np.exp(logits - logits.max(axis=1, keepdims=True))
        return np.asarray(odds / odds.sum(axis=1, keepdims=True), dtype=np.float32)

    def _mention(self, text: str, clause: Clause, chances: Floats) -> Mention:
        likeliest = np.argpartition(-chances[:-1], KEPT)[:KEPT]
        start, end = clause.start, clause.end
        return Mention(
            origin=Origin(OriginKind.READER, text[start:end], start, end),
            weight=clause.weight,
            chances=tuple(sorted((*self._model.classes[c], float(chances[c])) for c in likeliest)),
            nothing=float(chances[-1]),
        )
