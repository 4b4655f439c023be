"""Fit the second reader: what a clause of a ticket seems to say, and which causes' tickets read like it.

Takes labelled clauses (`cases/tickets/annotated.jsonl`, `utterances.jsonl`, `not_ranked.jsonl`) and the words of the observations, gives
`rules/language/clauses.npz` and the counts of `rules/mentions.yaml`; may import the language helpers of diagnose.
Run by hand: PYTHONPATH=.:tests python tests/benchmarks/fit_clauses.py [--hold-out] [--write]

Multinomial logistic regression with a Gaussian prior, by L-BFGS (Nocedal, Math. Comp. 35, 1980). With --hold-out
every fifth annotated ticket is kept back and the share of its clauses that are read right is printed.
"""

from __future__ import annotations

import io
import json
import math
import sys
from collections import Counter
from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from pathlib import Path

import numpy as np
from numpy.typing import NDArray
from scipy.optimize import minimize
from scipy.sparse import csr_matrix

from diagnose.facts.from_ticket import TicketReader
from diagnose.facts.language.clause_features import expand, list_keys
from diagnose.facts.language.clause_reader import NOTHING, OTHER_DEVICE, TOO_LITTLE, find_chances
from diagnose.facts.language.tokens import split_sentences
from diagnose.knowledge.base import Knowledge
from diagnose.knowledge.language import load_language
from diagnose.knowledge.loader import load_knowledge

ROOT = Path(__file__).resolve().parents[2]
TICKETS = ROOT / "cases" / "tickets"
RULES = ROOT / "rules"
PRIOR = 3e-6  # strength of the Gaussian prior, a clause
PRIOR_OF_CAUSES = 1e-5  # the same, a ticket
STEPS = 60
LETTERS = 0.35  # letters in a row against words
SIZE = 1.2  # length of a clause's vector
SHORTEST = 4  # characters of a clause that teaches
FOLD = 5


@dataclass(frozen=True)
class Example:
    """A clause and what it says: names of classes, none where it says nothing of the list."""

    text: str
    says: tuple[str, ...]


def read_lines(name: str) -> Iterator[dict[str, object]]:
    """Read a file of labelled lines."""
    for line in (TICKETS / name).read_text("utf-8").splitlines():
        yield json.loads(line)


def list_sentences(knowledge: Knowledge) -> Iterator[Example]:
    """Give sentences that say one observation, its own words among them, and tickets that say nothing."""
    for line in read_lines("utterances.jsonl"):
        yield Example(str(line["text"]), (f"{line['observation']}={line['state']}",))
    for line in read_lines("not_ranked.jsonl"):
        if line["cause"] == TOO_LITTLE:
            yield Example(str(line["text"]), ())
    for name, observation in knowledge.observations.items():
        yield Example(observation.says, (f"{name}=present",))
        yield Example(observation.absent, (f"{name}=absent",))


def list_clauses(tickets: Iterable[dict[str, object]]) -> Iterator[Example]:
    """Give the clauses of annotated tickets."""
    for ticket in tickets:
        for piece in ticket["pieces"]:  # type: ignore[attr-defined]
            text = piece["text"].strip()
            if len(text) >= SHORTEST:
                yield Example(text, tuple(f"{name}={state}" for name, state in piece["says"]))


class Fit:
    """The features of the examples and the fitted weights."""

    def __init__(self, reader: TicketReader, examples: list[Example], classes: list[str]) -> None:
        """Count features and fit."""
        self.reader, self.classes = reader, classes
        counted = [self.list_features(example.text) for example in examples]
        seen = Counter(feature for features in counted for feature in set(features))
        kept = sorted(f for f, count in seen.items() if count >= (3 if f.startswith("g:") else 2))
        self.row = {feature: row for row, feature in enumerate(kept)}
        rarity = [math.log((1 + len(examples)) / (1 + seen[f])) + 1 for f in kept]
        self.values = np.array(
            [r * (LETTERS if f.startswith("g:") else 1) for f, r in zip(kept, rarity, strict=True)]
        )
        targets = list_targets([example.says for example in examples], classes)
        self.weights, self.bias = solve(self.build(counted), targets, PRIOR)

    def list_features(self, text: str) -> list[str]:
        """List the features of a clause, as the reader would."""
        sentences = split_sentences(text, self.reader.mend)
        keys = (key for sentence in sentences for key in list_keys(sentence))
        return [feature for key in keys for feature in expand(key, self.reader.lexicon)]

    def build(self, counted: list[list[str]]) -> csr_matrix:
        """Lay features out, one row a clause, each of one length."""
        rows: list[int] = []
        columns: list[int] = []
        for number, features in enumerate(counted):
            known = [self.row[f] for f in features if f in self.row]
            rows += [number] * len(known)
            columns += known
        values = self.values[columns]
        squares = np.bincount(rows, values**2, minlength=len(counted))
        scaled = values * SIZE / np.sqrt(squares[rows])
        return csr_matrix((scaled, (rows, columns)), (len(counted), len(self.row)))

    def weigh(self, texts: list[str]) -> NDArray[np.float32]:
        """Give the chance of each class for each text."""
        return find_chances(self.build([self.list_features(t) for t in texts]) @ self.weights + self.bias)

    def fit_causes(self, tickets: list[dict[str, object]]) -> None:
        """Fit which cause's tickets read like a text, which are about another device and which say too little."""
        causes = {str(ticket["cause"]) for ticket in tickets} - {OTHER_DEVICE, TOO_LITTLE}
        self.tickets = [*sorted(causes), OTHER_DEVICE, TOO_LITTLE]
        counted = [self.list_features(join_text(ticket)) for ticket in tickets]
        targets = list_targets([(str(ticket["cause"]),) for ticket in tickets], self.tickets)
        self.cause_weights, self.cause_bias = solve(self.build(counted), targets, PRIOR_OF_CAUSES)
        self.shares = targets.mean(axis=0)

    def write(self, path: Path) -> None:
        """Write what `load_clause_model` reads: a feature's value is folded into its rows."""
        both = (self.weights, self.cause_weights)
        shrunk = [shrink(weights * (self.values * SIZE)[:, None]) for weights in both]
        buffer = io.BytesIO()
        np.savez_compressed(
            buffer,
            features=np.frombuffer("\n".join(self.row).encode(), dtype=np.uint8),
            classes=np.frombuffer("\n".join(self.classes[:-1]).encode(), dtype=np.uint8),
            tickets=np.frombuffer("\n".join(self.tickets).encode(), dtype=np.uint8),
            weights=np.hstack([whole for whole, _ in shrunk]),
            scales=np.stack([scales for _, scales in shrunk], axis=1),
            squares=(self.values**2).astype(np.float32),
            bias=np.append(self.bias, self.cause_bias),
            shares=self.shares,
        )
        path.write_bytes(buffer.getvalue())


def join_text(ticket: dict[str, object]) -> str:
    """Give the text of a ticket, annotated or plain."""
    if "text" in ticket:
        return str(ticket["text"])
    return "".join(piece["text"] for piece in ticket["pieces"])  # type: ignore[attr-defined]


def shrink(rows: NDArray[np.float32]) -> tuple[NDArray[np.int8], NDArray[np.float32]]:
    """Give rows as whole numbers of -127 to 127, and what a step of each row stands for."""
    scales = np.abs(rows).max(axis=1) / 127
    return np.rint(rows / np.maximum(scales, 1e-12)[:, None]).astype(np.int8), scales.astype(np.float32)


def list_targets(says: list[tuple[str, ...]], classes: list[str]) -> NDArray[np.float32]:
    """Give each example one share in all, spread over what it says."""
    place = {name: column for column, name in enumerate(classes)}
    targets = np.zeros((len(says), len(classes)), dtype=np.float32)
    for row, names in enumerate(says):
        for name in names or (NOTHING,):
            targets[row, place[name]] += 1 / max(1, len(names))
    return targets


def solve(
    x: csr_matrix, targets: NDArray[np.float32], prior: float
) -> tuple[NDArray[np.float32], NDArray[np.float32]]:
    """Fit a multinomial logistic regression; give its weights and its bias."""
    x = x.astype(np.float32)
    transposed = x.T.tocsr()
    shape = (x.shape[1] + 1, targets.shape[1])

    def loss(flat: NDArray[np.float64]) -> tuple[float, NDArray[np.float64]]:
        weights = flat.reshape(shape).astype(np.float32)
        chances = find_chances(x @ weights[:-1] + weights[-1])
        missing = -(targets * np.log(chances + 1e-12)).sum() / len(targets)
        off = (chances - targets) / len(targets)
        slope = np.vstack([transposed @ off, off.sum(axis=0)]) + prior * weights
        return float(missing + prior / 2 * (weights**2).sum()), slope.astype(np.float64).ravel()

    options = {"maxiter": STEPS, "maxcor": 5}
    found = minimize(loss, np.zeros(shape[0] * shape[1]), jac=True, method="L-BFGS-B", options=options).x
    weights = found.reshape(shape)
    return weights[:-1].astype(np.float32), weights[-1].astype(np.float32)


def print_held_out(fit: Fit, examples: list[Example]) -> None:
    """Print how many clauses are read right."""
    first = [fit.classes[c] for c in fit.weigh([e.text for e in examples]).argmax(axis=1)]
    right = [name in (e.says or (NOTHING,)) for name, e in zip(first, examples, strict=True)]
    saying = [r for r, e in zip(right, examples, strict=True) if e.says]
    print(f"held out: {np.mean(right):.1%} of {len(right)} clauses read right")
    print(f"  of those that say something: {np.mean(saying):.1%} of {len(saying)}")


def write_counts(examples: Iterable[Example]) -> None:
    """Write how often tickets mention each observation beside the settings of `rules/mentions.yaml`."""
    path = RULES / "mentions.yaml"
    said = Counter(name for example in examples for name in example.says)
    names = sorted({name.split("=")[0] for name in said})
    head = path.read_text("utf-8").split("said:\n")[0]
    lines = [f"  {name}: [{said[f'{name}=present']}, {said[f'{name}=absent']}]\n" for name in names]
    path.write_text(head + "said:\n" + "".join(lines), "utf-8")


def main() -> None:
    """Fit, and say how well or write the result."""
    knowledge = load_knowledge(RULES)
    reader = TicketReader(knowledge, load_language(RULES, knowledge))
    classes = [f"{name}={state}" for name in knowledge.observations for state in ("present", "absent")]
    tickets = list(read_lines("annotated.jsonl"))
    kept_back = tickets[::FOLD] if "--hold-out" in sys.argv else []
    taught = [t for n, t in enumerate(tickets) if not kept_back or n % FOLD]
    clauses = list(list_clauses(taught))
    fit = Fit(reader, [*list_sentences(knowledge), *clauses], [*classes, NOTHING])
    print(f"{len(taught)} tickets, {len(clauses)} clauses, {len(fit.row)} features")
    if kept_back:
        print_held_out(fit, list(list_clauses(kept_back)))
    if "--write" in sys.argv:
        named = [ticket for ticket in taught if ticket["cause"] in knowledge.causes]
        fit.fit_causes([*named, *read_lines("not_ranked.jsonl")])
        fit.write(RULES / "language" / "clauses.npz")
        write_counts(clauses)


if __name__ == "__main__":
    main()
