"""Beliefs and circumstances as atoms."""

from diagnose.chaining.atoms import list_atoms, name_of, spell_atom
from diagnose.facts.combine import combine_facts
from diagnose.facts.model import CircumstanceFact, Fact, Origin, OriginKind, State

ANSWER = Origin(OriginKind.ANSWER)


def fact(observation, state, likelihood):
    """Make a fact that somebody answered."""
    return Fact(observation, state, ANSWER, likelihood)


def test_states_become_atoms():
    """Present and absent give an atom each; unknown gives none."""
    facts = [
        fact("hums", State.PRESENT, (1, 0)),
        fact("moves", State.ABSENT, (0.05, 0.95)),
        fact("smells", State.UNKNOWN, (1, 1)),
    ]
    assert frozenset({"hums=present", "moves=absent"}) == list_atoms(combine_facts(facts), ())


def test_equal_yes_and_no_give_no_atom():
    """Origins that cancel leave the observation unknown."""
    facts = [fact("hums", State.PRESENT, (1, 0)), fact("hums", State.ABSENT, (0, 1))]
    assert frozenset() == list_atoms(combine_facts(facts), ())


def test_certain_circumstance_gives_two_atoms():
    """A certain value is also a value that was said; a value merely said is not certain."""
    said = CircumstanceFact("motor", "dc", certain=False, origin=ANSWER)
    certain = CircumstanceFact("duty", "on_off", certain=True, origin=ANSWER)
    expected = frozenset({"motor=dc", "duty=on_off", "duty=on_off.certain"})
    assert expected == list_atoms((), (said, certain))


def test_two_values_of_one_circumstance_are_two_atoms():
    """Values that do not fit together are both kept."""
    values = [
        CircumstanceFact("motor", value, certain=False, origin=ANSWER) for value in ("dc", "three_phase")
    ]
    assert frozenset({"motor=dc", "motor=three_phase"}) == list_atoms((), values)


def test_name_of_undoes_spelling():
    """The name of an atom is what was spelled, certain or not."""
    assert "duty" == name_of(spell_atom("duty", "on_off", certain=True))
