"""The trace: what is behind each conclusion."""

from diagnose.chaining.compile import Firing, compile_rules
from diagnose.chaining.plain import run_plain
from diagnose.chaining.trace import chain, find_sentence
from diagnose.facts.model import Belief, CircumstanceFact, Origin, OriginKind

ANSWER = Origin(OriginKind.ANSWER)
RULES = {
    "circumstances": {"duty": {"on_off": "On/off.", "modulating": "Modulating."}, "work": {"none": "No.", "card": "Card."}},
    "rules": [
        {"id": "lower", "says": "Low.", "when": {"all": [{"a": "present"}, {"b": "absent"}]}, "concludes": {"observation": "p"}},
        {"id": "lower_too", "says": "Low too.", "when": {"all": [{"c": "present"}]}, "concludes": {"observation": "p"}},
        {"id": "upper", "says": "High.", "when": {"all": [{"p": "present"}, {"d": "present"}, {"work": "card"}]}, "concludes": {"observation": "q"}},
        {"id": "careful", "says": "Take care.", "when": {"any": [{"q": "present"}, {"a": "present"}]}, "concludes": {"caution": "be_careful"}},
    ],
    "causes": {
        "card_wrong": {
            "ruled_out": [{"when": {"duty": "on_off"}, "says": "No card there."}],
            "circumstances": [
                {"when": {"any": [{"work": "card"}, {"a": "present"}]}, "decibans": 8, "group": "work", "says": "Just set."},
                {"when": {"work": "none"}, "decibans": -2, "group": "work"},
            ],
        }
    },
}  # fmt: skip


def trace(make_knowledge, observations, circumstances=()):
    """Chain the rule base above on plain yes and no and said (or certain) circumstances."""
    knowledge = make_knowledge(RULES)
    pairs = {"present": (1.0, 0.0), "absent": (0.0, 1.0)}
    beliefs = [Belief(name, pairs[state], (), contradicted=False) for name, state in observations.items()]
    told = [CircumstanceFact(n, v, certain=certain, origin=ANSWER) for n, v, certain in circumstances]
    chained = chain(knowledge, compile_rules(knowledge), beliefs, told)
    assert chained == chain(knowledge, compile_rules(knowledge), beliefs, told, run=run_plain)
    return chained


def test_support_goes_back_to_what_was_entered(make_knowledge):
    """A conclusion on a conclusion rests on the facts entered behind both, of all rules that fired."""
    observations = {"a": "present", "b": "absent", "c": "present", "d": "present"}
    chained = trace(make_knowledge, observations, [("work", "card", False)])
    lower = ("a=present", "b=absent", "c=present")
    assert {"p": lower, "q": (*lower, "d=present", "work=card")} == chained.derived
    assert chained.entered | {"p=present", "q=present"} == chained.atoms


def test_entered_fact_that_is_concluded_too_is_support(make_knowledge):
    """An observation both told and concluded stands behind what rests on it."""
    chained = trace(
        make_knowledge, {"p": "present", "c": "present", "d": "present"}, [("work", "card", False)]
    )
    assert {"p": ("c=present",), "q": ("c=present", "d=present", "p=present", "work=card")} == chained.derived


def test_rule_that_did_not_fire_concludes_nothing(make_knowledge):
    """Nothing is concluded, not even the absence, where one fact is missing."""
    chained = trace(make_knowledge, {"a": "present"})
    assert {} == chained.derived
    assert frozenset({"a=present"}) == chained.atoms


def test_certain_exclusion_rules_out(make_knowledge):
    """A certain circumstance rules out and moves no prior."""
    chained = trace(make_knowledge, {}, [("duty", "on_off", True)])
    assert {"card_wrong": ("card_wrong.ruled_out.1",)} == chained.ruled_out
    assert {} == chained.shifts


def test_said_exclusion_moves_the_prior(make_knowledge):
    """A circumstance merely said moves the prior by the whole cap, beside other shifts."""
    chained = trace(make_knowledge, {}, [("duty", "on_off", False), ("work", "none", False)])
    assert {} == chained.ruled_out
    expected = (("card_wrong.ruled_out.1.said", -20.0, "ruled_out"), ("card_wrong.shift.2", -2.0, "work"))
    assert {"card_wrong": expected} == chained.shifts


def test_shift_with_two_branches_counts_once(make_knowledge):
    """A shift that holds in two ways is one shift, with both firings kept."""
    chained = trace(make_knowledge, {"a": "present"}, [("work", "card", False)])
    assert {"card_wrong": (("card_wrong.shift.1", 8.0, "work"),)} == chained.shifts
    expected = {
        Firing("card_wrong.shift.1#1", ("a=present",)),
        Firing("card_wrong.shift.1#2", ("work=card",)),
    }
    assert expected <= set(chained.firings)


def test_caution_names_its_rules(make_knowledge):
    """A caution comes with the rule that calls for it."""
    assert {"be_careful": ("careful",)} == trace(make_knowledge, {"a": "present"}).cautions


def test_sentence_behind_a_rule_id(make_knowledge):
    """Every id of a firing leads to the sentence of the rule base, if it has one."""
    knowledge = make_knowledge(RULES)
    expected = {
        "careful#2": "Take care.",
        "card_wrong.ruled_out.1": "No card there.",
        "card_wrong.ruled_out.1.said": "No card there.",
        "card_wrong.shift.1#1": "Just set.",
        "card_wrong.shift.2": "",
    }
    assert expected == {rule_id: find_sentence(knowledge, rule_id) for rule_id in expected}


def test_sentence_behind_every_rule_of_the_rule_base(knowledge):
    """Every compiled id of the shipped rules leads back to its entry."""
    compiled = compile_rules(knowledge)
    rules = {
        r.base_id: find_sentence(knowledge, r.id) for r in compiled.rules if r.conclusion.kind != "shift"
    }
    assert rules
    assert all(rules.values())
