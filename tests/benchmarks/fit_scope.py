"""Fit the weights of the scope test: another device, or an electric quarter-turn actuator.

Takes labelled tickets, short maintenance orders of other machines and the case files, gives
`rules/language/scope.yaml`; may import the language helpers of diagnose. Run by hand:
python tests/benchmarks/fit_scope.py cases/tickets/{develop,annotated,other_devices}.jsonl [ORDERS.norm] [--write]

A logistic regression over counted words, drawn by a Gaussian prior to what trade knowledge says of each word
(scope_words.yaml): few tickets cannot teach every trade word, and so move only the words they speak of. Orders:
MaintNorm (NLP-TLP Group, 2024, MIT licence), every other order fits, the rest measures.
"""

from __future__ import annotations

import json
import math
import sys
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import numpy as np
import yaml
from scipy.optimize import minimize

from diagnose.facts.language.spelling import build_mend
from diagnose.facts.language.tokens import fold_word, split_sentences
from diagnose.knowledge.language import Language, load_language
from diagnose.knowledge.loader import load_knowledge

ROOT = Path(__file__).resolve().parents[2]
WORDS = Path(__file__).with_name("scope_words.yaml")
TARGET = ROOT / "rules" / "language" / "scope.yaml"
PER_NEPER = 10 / math.log(10)  # decibans in a unit of natural log odds
START, START_SPREAD = -8.0, 2.0  # decibans: some one ticket in seven speaks of another device
SPREAD = 4.0  # decibans by which trade knowledge may be wrong of a word
ORDER_WEIGHT = 0.01  # an order is short, of mines, and there are thousands: a hundred count as one ticket
CASE_WEIGHT = 0.5
PIECES_WEIGHT = (
    0.2  # annotated tickets are all of our own kind: so weighed, one ticket in seven is of another device
)
FOLDS = 10
TEXT_COLUMNS = ("text", "recent_work", "done")
HEAD = """# Words that speak of another device (plus) or of an electric quarter-turn actuator (minus), in decibans, counted
# once a sentence; above the limit the ticket is of another device. Made by tests/benchmarks/fit_scope.py.
"""

Counts = dict[str, int]
Array = Any


@dataclass(frozen=True)
class Ticket:
    """The text of one labelled ticket.

    Attributes:
        weight: As how many tickets it counts.
    """

    text: str
    is_other: bool
    weight: float


class Words:
    """The stems that may be weighed, with the decibans they start from."""

    def __init__(self, path: Path, language: Language) -> None:
        """Read the reviewed words."""
        groups = yaml.safe_load(path.read_text())["groups"]
        self.start: dict[str, float] = {}
        self.typed: dict[str, str] = {}
        for group in groups.values():
            for word in group["words"]:
                self.start.setdefault(fold_word(word), group["decibans"])
                self.typed.setdefault(fold_word(word), word)
        self._mend = build_mend(language)

    def count(self, text: str) -> Counts:
        """Count in how many sentences each stem stands."""
        counts: Counts = {}
        for sentence in split_sentences(text, self._mend):
            for stem in {token.stem for token in sentence} & self.start.keys():
                counts[stem] = counts.get(stem, 0) + 1
        return counts

    def table(self, texts: Iterable[str]) -> Array:
        """Lay the counts of texts out as rows, one column a stem."""
        every = [self.count(text) for text in texts]
        rows = [[counts.get(stem, 0) for stem in self.start] for counts in every]
        return np.array(rows, dtype=float).reshape(len(rows), len(self.start))


def read_tickets(paths: Iterable[Path]) -> Iterator[Ticket]:
    """Read labelled tickets; those kept for testing are left out."""
    for path in paths:
        rows = [json.loads(line) for line in path.read_text("utf-8").splitlines() if line]
        for row in rows:
            text = "".join(piece["text"] for piece in row.get("pieces", ()))
            text = text or "\n".join(row.get(column) or "" for column in TEXT_COLUMNS)
            if row.get("part") != "test":
                weight = PIECES_WEIGHT if "pieces" in row else 1.0
                yield Ticket(text, row["cause"] == "none_covered", weight)


def read_orders(path: Path) -> list[str]:
    """Read typed words, one a line with its normal form behind a tab, a blank line between orders."""
    blocks = path.read_text().split("\n\n")
    return [" ".join(line.split("\t")[-1] for line in b.splitlines()).replace("<", " ") for b in blocks if b]


def read_calls() -> Iterator[str]:
    """Read what callers say in the case files."""
    for path in sorted((ROOT / "cases").rglob("*.yaml")):
        content = yaml.safe_load(path.read_text())
        if isinstance(content, Mapping) and content.get("call"):
            yield str(content["call"])


def fit(rows: Array, labels: Array, weights: Array, prior: Array) -> Array:
    """Fit weights in decibans, the start first, by penalised likelihood."""
    full = np.hstack([np.ones((len(rows), 1)), rows])
    centre = np.concatenate([[START], prior]) / PER_NEPER
    looseness = np.concatenate([[START_SPREAD], np.full(len(prior), SPREAD)]) / PER_NEPER

    def loss(guess: Array) -> tuple[float, Array]:
        odds = full @ guess
        off = (guess - centre) / looseness
        value = weights @ (np.logaddexp(0, odds) - labels * odds) + 0.5 * off @ off
        slope = full.T @ (weights * (1 / (1 + np.exp(-odds)) - labels)) + off / looseness
        return value, slope

    return minimize(loss, centre, jac=True, method="L-BFGS-B").x * PER_NEPER


def score(weights: Array, rows: Array) -> Array:
    """Sum the rounded weights of each row."""
    rounded = [round(x) for x in weights]
    return rounded[0] + rows @ np.array(rounded[1:], dtype=float)


@dataclass(frozen=True)
class Texts:
    """Counted texts: tickets, weighed, with labels (1 is another device), orders of other machines, calls of cases."""

    prior: Array
    own: Array
    labels: Array
    weights: Array
    orders: Array
    calls: Array

    def fit(self, keep: Array) -> Array:
        """Fit on the tickets kept, every other order and the calls."""
        orders = self.orders[::2]
        rows = np.vstack([self.own[keep], orders, self.calls])
        labels = [self.labels[keep], np.ones(len(orders)), np.zeros(len(self.calls))]
        others = np.repeat([ORDER_WEIGHT, CASE_WEIGHT], [len(orders), len(self.calls)])
        weights = np.concatenate([self.weights[keep], others])
        return fit(rows, np.concatenate(labels), weights, self.prior)

    def cross_validate(self) -> Array:
        """Score each ticket by a fit on the folds it is not in."""
        folds = np.arange(len(self.own)) % FOLDS
        scores = np.zeros(len(self.own))
        for fold in range(FOLDS):
            scores[folds == fold] = score(self.fit(folds != fold), self.own[folds == fold])
        return scores


def measure(name: str, scores: Array, labels: Array) -> None:
    """Print the share caught and the share turned away."""
    parts = []
    for label, said in ((1, "other devices caught"), (0, "our own turned away")):
        of_kind = scores[labels == label]
        if len(of_kind):
            parts.append(f"{said} {np.mean(of_kind > 0):.3f} of {len(of_kind)}")
    print(f"{name}: {', '.join(parts)}")


def write(words: Words, weights: Array) -> None:
    """Write the rounded weights that are not nil, the heaviest first."""
    rounded = {word: round(x) for word, x in zip(words.typed.values(), weights[1:], strict=True)}
    lines = [f"  {word}: {x}" for word, x in sorted(rounded.items(), key=lambda i: (-i[1], i[0])) if x]
    TARGET.write_text(f"{HEAD}start: {round(weights[0])}\nlimit: 0\nwords:\n" + "\n".join(lines) + "\n")


def run(arguments: Sequence[str]) -> None:
    """Fit, measure by cross-validation and, if asked, write the file."""
    paths = [Path(a) for a in arguments if not a.startswith("--")]
    language = load_language(ROOT / "rules", load_knowledge(ROOT / "rules"))
    words = Words(WORDS, language)
    tickets = list(read_tickets(path for path in paths if path.suffix == ".jsonl"))
    orders = [order for path in paths if path.suffix == ".norm" for order in read_orders(path)]
    texts = Texts(
        prior=np.array(list(words.start.values())),
        own=words.table(ticket.text for ticket in tickets),
        labels=np.array([float(ticket.is_other) for ticket in tickets]),
        weights=np.array([ticket.weight for ticket in tickets]),
        orders=words.table(orders),
        calls=words.table(read_calls()),
    )
    measure("tickets, cross-validated", texts.cross_validate(), texts.labels)
    final = texts.fit(np.full(len(tickets), True))
    measure("tickets, fitted", score(final, texts.own), texts.labels)
    measure("orders not fitted", score(final, texts.orders[1::2]), np.ones(len(texts.orders[1::2])))
    measure("calls of the cases", score(final, texts.calls), np.zeros(len(texts.calls)))
    if "--write" in arguments:
        write(words, final)


if __name__ == "__main__":
    run(sys.argv[1:])
