"""Fuzzing of the ticket reader: no crash, words of facts exact, time per kilobyte bounded.

Run by name: PYTHONPATH=. python tests/benchmarks/fuzz_reader.py [inputs] [seconds] (needs atheris; a million inputs
unless told, 1,200 s at most). Inputs are steered by the coverage of the reader's code (atheris on libFuzzer); bytes
stand for words that phrases are made of, for marks and numbers, or for any characters. Of the two ways of
finding phrases the quick one reads every input, the plain one one in twenty, and both must find the same facts.
"""

import sys
import time

import atheris

with atheris.instrument_imports(include=["diagnose.facts"]):
    from diagnose.facts.from_ticket import TicketReader

from diagnose.knowledge.language import load_language
from diagnose.knowledge.loader import load_knowledge
from diagnose.knowledge.shipped import rules_directory

INPUTS, SECONDS = 1_000_000, 1_200
LONGEST = 24  # bytes of an input; a byte is a word
PLAIN_EVERY = 20
MOST_SECONDS = 1.0  # of processor time a kilobyte; an input below a kilobyte counts as one
SHOWN_EVERY = 20_000
MARKS = [
    *".,;:!?()'\"&|@#<>=+-*/%°",
    "\n",
    "\t",
    "\0",
    "4-20",
    "20 mA",
    "0.2 ohm",
    "V-12",
    "74 deg",
    "50 %",
    "-3",
]
CHOSEN = 160  # words of the vocabulary


def choose_words(language):
    """Choose words of the phrases, evenly over the vocabulary, and put the marks behind."""
    classes = sorted(
        {word for said in language.classes.values() for phrase in said for word in phrase.split()}
    )
    step = max(1, len(classes) // CHOSEN)
    return [*classes[::step][:CHOSEN], *MARKS]


class Fuzz:
    """Reads inputs and keeps the slowest."""

    def __init__(self):
        """Make both readers."""
        knowledge = load_knowledge(rules_directory())
        language = load_language(rules_directory(), knowledge)
        self.plain = TicketReader(knowledge, language)
        self.quick = TicketReader(knowledge, language, for_many=True)
        self.words = choose_words(language)
        self.count, self.compared, self.facts, self.worst = 0, 0, 0, 0.0
        self.started = time.monotonic()

    def write_text(self, data):
        """Make a text of bytes: an even first byte chooses words, an odd one any characters."""
        if not data or data[0] % 2:
            return data[1:].decode("utf-8", "replace")
        return " ".join(self.words[byte] if byte < len(self.words) else chr(byte) for byte in data[1:])

    def read(self, data):
        """Read one input."""
        text = self.write_text(data)
        started = time.thread_time()
        quick = self.quick.read({"text": text}).evidence.facts
        spent = (time.thread_time() - started) / max(1.0, len(text.encode("utf-8", "replace")) / 1024)
        is_compared = sum(data) % PLAIN_EVERY == 0
        if is_compared and set(quick) != set(self.plain.read({"text": text}).evidence.facts):
            raise AssertionError(f"two ways, two readings: {text!r}")
        if any(text[f.origin.start : f.origin.end] != f.origin.words for f in quick):
            raise AssertionError(f"a fact with other words than the text's: {text!r}")
        # the first readings also compile and load
        if self.count > 1_000 and spent > MOST_SECONDS:
            raise AssertionError(f"{spent:.2f} s a kilobyte: {text!r}")
        self.count += 1
        self.compared += is_compared
        self.facts += len(quick)
        self.worst = max(self.worst, spent if self.count > 1_000 else 0.0)
        if self.count % SHOWN_EVERY == 0:
            minutes = (time.monotonic() - self.started) / 60
            done = f"{self.count:,} inputs ({self.compared:,} read both ways), {self.facts:,} facts"
            print(f"{done}, {minutes:.1f} min, at worst {self.worst:.3f} s a kilobyte", flush=True)


def main():
    """Fuzz until the inputs or the seconds are over."""
    inputs = int(sys.argv[1]) if len(sys.argv) > 1 else INPUTS
    seconds = int(sys.argv[2]) if len(sys.argv) > 2 else SECONDS
    fuzz = Fuzz()
    options = [
        f"-runs={inputs}",
        f"-max_total_time={seconds}",
        f"-max_len={LONGEST}",
        "-len_control=0",
        "-verbosity=0",
    ]
    atheris.Setup([sys.argv[0], *options], fuzz.read)
    atheris.Fuzz()


if __name__ == "__main__":
    main()
