"""Distinct tickets of about fifty words, made from a grammar: what one cause shows, said in one of many ways.

Takes a rule base and our own labelled sayings, gives tickets; used by benchmarks alone.

A ticket takes a cause by its share, one to four of the observations it shows, each in the words of one of our own
sayings (`cases/tickets/utterances.jsonl`) with a beginning and an end put around it, and is filled up with what people
write beside the symptoms. One word in thirty is mistyped.
"""

import csv
import json
from collections import defaultdict

from diagnose.knowledge.loader import load_knowledge
from diagnose.knowledge.shipped import cases_directory, rules_directory

WORDS = 50
TYPOS = 1 / 30
# How many observations a ticket tells: one to four.
TOLD = (0.2, 0.35, 0.3, 0.15)
ABSENT = 0.25
OPENERS = (
    "", "", "{tag}: ", "shift says ", "found at {hour}, ", "as of {day} ", "again, ", "since the {day} round ",
    "{name} reports ", "on {tag} ", "during the {hour} test ", "seen by {name}: ", "round at {hour}: ",
)  # fmt: skip
CLOSERS = (
    "", "", ", seen on {day}", ", third time this {span}", " at bay {few}", ", {name} was there", " after the {day} rain",
    ", same as job {many}", ", noted in log {many}", " when asked by the desk", ", photo {few} in the folder",
)  # fmt: skip
FILLERS = (
    "job raised by the {day} shift for {place}", "please ring {name} on {many} before coming",
    "access by the {place} ladder, permit {many} needed", "{few}th entry this {span} for this bay they say",
    "spare in the {place} store if wanted, shelf {few}", "not urgent according to the {place} desk",
    "ask for {name} at the {place} gate", "drawing sheet {few} is in the panel at {place}",
    "tagged and left by {name} on {day}", "line can be had after {hour} on {day}",
    "see log page {many} for the visit of {day}", "{place} wants a word before anybody goes up",
    "needs two people and the long ladder from {place}", "{name} will walk you there at {hour}",
)  # fmt: skip
SLOTS = {
    "day": ("Monday", "Tuesday", "Wednesday", "Thursday", "Friday", "Saturday", "Sunday"),
    "name": ("Ansa", "Birk", "Corrin", "Dwale", "Eddo", "Fenna", "Garrow", "Hesk", "Imbra", "Jory", "Kest", "Lomm"),
    "place": ("the clearwell", "filter hall", "east chamber", "the pump road", "inlet house", "the sluice", "wash bay"),
    "span": ("week", "month", "season", "year"),
}  # fmt: skip


class TicketMaker:
    """Makes tickets; the same random numbers give the same tickets."""

    def __init__(self, rng):
        self._rng = rng
        knowledge = load_knowledge(rules_directory())
        self._sayings = load_sayings()
        shown = {
            name: sorted({link.to for link in cause.links} & set(self._sayings["present"]))
            for name, cause in knowledge.causes.items()
        }
        self._shown = {name: told for name, told in shown.items() if told}
        self._shares = [knowledge.causes[name].share for name in self._shown]
        self._absent = sorted(self._sayings["absent"])

    def make_text(self):
        """Make one text."""
        rng = self._rng
        cause = rng.choices(list(self._shown), self._shares)[0]
        told = self._shown[cause]
        count = min(len(told), rng.choices((1, 2, 3, 4), TOLD)[0])
        sayings = [rng.choice(self._sayings["present"][name]) for name in rng.sample(told, count)]
        if rng.random() < ABSENT:
            sayings.append(rng.choice(self._sayings["absent"][rng.choice(self._absent)]))
        parts = [f"{rng.choice(OPENERS)}{saying.rstrip('.')}{rng.choice(CLOSERS)}" for saying in sayings]
        while len(" ".join(parts).split()) < WORDS - 4:
            parts.insert(rng.randint(0, len(parts)), rng.choice(FILLERS))
        return " ".join(self._mistype(word) for word in self._fill(". ".join(parts)).split(" ")) + "."

    def _fill(self, text):
        rng = self._rng
        for name, words in SLOTS.items():
            while f"{{{name}}}" in text:
                text = text.replace(f"{{{name}}}", rng.choice(words), 1)
        for name, made in (("tag", f"V-{rng.randint(1, 999)}"), ("hour", f"{rng.randint(0, 23):02}:{rng.randint(0, 59):02}"),
                           ("few", str(rng.randint(5, 99))), ("many", str(rng.randint(1000, 9999)))):  # fmt: skip
            text = text.replace(f"{{{name}}}", made)
        return text

    def _mistype(self, word):
        """Swap two neighbouring letters of a long word now and then."""
        if len(word) < 5 or not word.isalpha() or self._rng.random() > TYPOS:
            return word
        place = self._rng.randint(1, len(word) - 3)
        return word[:place] + word[place + 1] + word[place] + word[place + 2 :]


def load_sayings():
    """Give our own sayings by state and observation."""
    sayings = {"present": defaultdict(list), "absent": defaultdict(list)}
    with (cases_directory() / "tickets" / "utterances.jsonl").open(encoding="utf-8") as stream:
        for said in map(json.loads, stream):
            sayings[said["state"]][said["observation"]].append(said["text"])
    return sayings


def write_tickets(path, count, rng):
    """Write distinct tickets."""
    maker, seen = TicketMaker(rng), set()
    with path.open("w", encoding="utf-8", newline="") as stream:
        writer = csv.writer(stream)
        writer.writerow(["id", "text", "duty", "motor"])
        while len(seen) < count:
            text = maker.make_text()
            if text in seen:
                continue
            seen.add(text)
            duty = rng.choice(["on_off", "modulating", ""])
            motor = rng.choice(["single_phase", "three_phase", ""])
            writer.writerow([len(seen), text, duty, motor])
