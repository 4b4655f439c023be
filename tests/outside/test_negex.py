"""The rules of NegEx: Chapman, Bridewell, Hanbury, Cooper, Buchanan, J. Biomed. Inform. 34 (2001) 301-310.

Rules and kinds of trigger phrases as on the authors' page; the sentences are in the manner of the paper's clinical
examples, from memory, unverified. The termination words belong to the later version of NegEx.
"""

import pytest

from diagnose.facts.from_ticket import TicketReader
from diagnose.facts.language.senses import WINDOW, compile_sense_words, read_sense
from diagnose.facts.language.tokens import fold_word, split_sentences
from diagnose.knowledge.language import load_language
from diagnose.knowledge.shipped import rules_directory

# Symptoms of the trade that begin with a word of denial: terms, found before any denial is looked for.
SYMPTOMS = {
    "no power at the unit": "supply_absent",
    "valve is not closing": "close_direction_dead",
    "valve won't open": "open_direction_dead",
    "no signal at the input": "command_below_live_zero",
    "valve does not move": "no_movement",
}


@pytest.fixture(scope="module")
def language(knowledge):
    """Load the shipped language."""
    return load_language(rules_directory(), knowledge)


@pytest.fixture(scope="module")
def reader(knowledge, language):
    """Make a reader of tickets."""
    return TicketReader(knowledge, language)


@pytest.fixture(scope="module")
def is_denied(language):
    """Tell whether a term is denied in a sentence."""
    words = compile_sense_words(language.senses.model_dump())

    def read(text, term):
        (sentence,) = split_sentences(text)
        stems = [token.stem for token in sentence]
        row = [fold_word(word) for word in term.split()]
        (first,) = [n for n in range(len(stems)) if stems[n : n + len(row)] == row]
        return read_sense(sentence, range(first, first + len(row)), words).denied

    return read


@pytest.mark.parametrize(
    ("text", "term"),
    [
        ("the patient denies chest pain", "chest pain"),
        ("there is no evidence of pneumonia", "pneumonia"),
        ("no sign of infection", "infection"),
        ("she has never had a fever", "fever"),
        ("absence of cyanosis", "cyanosis"),
        ("he is free of pain", "pain"),
        ("this rules out fracture", "fracture"),
        ("discharged without fever", "fever"),
        ("chest film did not show an effusion", "effusion"),
    ],
)
def test_rule_1_phrase_before_the_term(is_denied, text, term):
    """Rule 1: negation phrase, up to five words, term."""
    assert is_denied(text, term)


@pytest.mark.parametrize(
    ("text", "term"),
    [
        ("pneumonia was ruled out", "pneumonia"),
        ("pneumonia is unlikely", "pneumonia"),
        ("effusion not seen", "effusion"),
        ("fracture not present", "fracture"),
        ("murmur is absent", "murmur"),
    ],
)
def test_rule_2_phrase_behind_the_term(is_denied, text, term):
    """Rule 2: term, up to five words, negation phrase."""
    assert is_denied(text, term)


@pytest.mark.parametrize(
    ("text", "term"),
    [
        ("no increase in pain", "pain"),
        ("no change in cough", "cough"),
        ("no significant change in effusion", "effusion"),
        ("not certain if pneumonia", "pneumonia"),
        ("not certain whether fracture", "fracture"),
        ("does not cause pain", "pain"),
        ("swallows without difficulty, cough", "cough"),
        ("not only fever", "fever"),
    ],
)
def test_pseudo_negation_denies_nothing(is_denied, text, term):
    """Phrases that look like denials and are none are skipped."""
    assert not is_denied(text, term)


@pytest.mark.parametrize(
    "word", ["but", "however", "although", "except", "though", "still", "because", "which", "yet"]
)
def test_termination_ends_the_reach(is_denied, word):
    """A termination word between phrase and term ends the denial."""
    assert not is_denied(f"no fever {word} cough", "cough")
    assert is_denied(f"no fever {word} cough", "fever")


def test_reach_is_five_words(is_denied):
    """The term may stand behind four other words and not behind five: five words from the phrase."""
    between = ["one"] * WINDOW

    assert 5 == WINDOW
    assert is_denied(" ".join(["no", *between[1:], "fever"]), "fever")
    assert not is_denied(" ".join(["no", *between, "fever"]), "fever")


def test_list_is_denied_to_the_first_comma(is_denied):
    """Taken over with a change: a comma ends the reach, for tickets string statements together by commas."""
    assert is_denied("no cyanosis, clubbing", "cyanosis")
    assert not is_denied("no cyanosis, clubbing", "clubbing")


@pytest.mark.parametrize(("text", "observation"), SYMPTOMS.items())
def test_symptoms_that_begin_with_a_denial_are_present(reader, text, observation):
    """The trap of the domain: "no power" and "won't open" are symptoms, not denials."""
    facts = reader.read({"text": text}).evidence.facts

    assert (observation, "present") in {(fact.observation, fact.state.value) for fact in facts}
