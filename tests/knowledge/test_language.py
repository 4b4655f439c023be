"""The language files load, and every fault in them is told at its file and line."""

import shutil
from pathlib import Path

import pytest

from diagnose.errors import RulesFaulty
from diagnose.facts.language.checks import check_language
from diagnose.interfaces.checking import check_all
from diagnose.knowledge.language import LANGUAGE, load_language
from diagnose.knowledge.shipped import rules_directory

EXTRA = "phrases/extra.yaml"
# name of the fault, text of a further phrase file, line, by the checks of loading
AT_LOAD = {
    "vocabulary": ("phrases:\n  no_such_thing:\n    present: [stuck]\n", 3),
    "class-twice": ("classes:\n  motor: [engine]\n", 2),
    "phrase-of-both": ("phrases:\n  water_inside:\n    present: [sodden]\n    absent:\n      - sodden\n", 3),
}
# the same by the checks that need tokens
BY_TOKENS = {
    "unknown-class": ("phrases:\n  water_inside:\n    present:\n      - wet\n      - '@nosuch inside'\n", 5),
    "never-met": ("phrases:\n  water_inside:\n    present:\n      - half-full\n", 4),
    "no-pattern": ("phrases:\n  water_inside:\n    present:\n      - 'wet ..'\n", 4),
    "class-in-itself": ("classes:\n  ring: ['@gnir']\n  gnir: ['@ring']\n", 2),
}
MORE_BY_TOKENS = [
    ("never-met", "phrases:\n  water_inside:\n    present:\n      - 'wet posn'\n"),
    ("never-met", "phrases:\n  water_inside:\n    present:\n      - 'wet (|) inside.'\n"),
    ("never-met", "classes:\n  ring: [1k]\n"),
    ("unknown-class", "classes:\n  ring: ['#ma_huge']\n"),
    ("unknown-class", "classes:\n  ring: ['@gnir']\n"),
    ("unknown-class", "phrases:\n  water_inside:\n    present:\n      - 'wet !@nosuch'\n"),
    ("no-pattern", "phrases:\n  water_inside:\n    present:\n      - 'wet|'\n"),
    (
        "twice-in-item",
        "phrases:\n  water_inside:\n    present:\n      - 'no|no sign|any water|moisture|water inside'\n",
    ),
]


@pytest.fixture
def lay(tmp_path):
    """Copy the shipped language and lay one more file of phrases beside it."""

    def lay_text(text):
        shutil.copytree(rules_directory() / LANGUAGE, tmp_path / LANGUAGE)
        (tmp_path / LANGUAGE / EXTRA).write_text(text, "utf-8")
        return tmp_path

    return lay_text


def place(fault):
    """Give check, file and line of a fault."""
    return fault.check, Path(fault.path).name, fault.line


def test_shipped_language_has_no_fault(knowledge):
    """The language we ship passes its own checks."""
    assert [] == list(check_language(load_language(rules_directory(), knowledge)))


@pytest.mark.parametrize(("check", "text", "line"), [(check, *made) for check, made in AT_LOAD.items()])
def test_faults_at_load(knowledge, lay, check, text, line):
    """An unknown observation, a class of a taken name, a phrase for both states are refused where they stand."""
    with pytest.raises(RulesFaulty) as caught:
        load_language(lay(text), knowledge)

    assert check in {fault.check for fault in caught.value.faults}
    assert {"extra.yaml"} == {Path(fault.path).name for fault in caught.value.faults}
    assert abs(line - caught.value.faults[0].line) <= 2


@pytest.mark.parametrize(("check", "text", "line"), [(check, *made) for check, made in BY_TOKENS.items()])
def test_faults_that_need_tokens(knowledge, lay, check, text, line):
    """Unknown classes, words no text gives, and what is no pattern are found at their line."""
    found = list(check_language(load_language(lay(text), knowledge)))

    assert (check, "extra.yaml", line) == place(found[0])
    assert {check} == {fault.check for fault in found}


@pytest.mark.parametrize(("check", "text"), MORE_BY_TOKENS)
def test_every_form_of_a_fault_is_found(knowledge, lay, check, text):
    """An abbreviation, a mark, two tokens in one word, an empty option: each is found in the file it stands in."""
    found = list(check_language(load_language(lay(text), knowledge)))

    assert {(check, "extra.yaml")} == {place(fault)[:2] for fault in found}


def test_missing_file_is_a_fault(knowledge, lay):
    """A language without its words is refused."""
    directory = lay("phrases: {}\n")
    (directory / LANGUAGE / "words.yaml").unlink()

    with pytest.raises(RulesFaulty, match=r"words\.yaml"):
        load_language(directory, knowledge)


def test_check_command_reads_the_language_too(tmp_path):
    """The check of a rule base reports the faults of its language."""
    rules = tmp_path / "rules"
    shutil.copytree(Path(__file__).parent.parent / "fixtures" / "rules_good", rules)
    shutil.copytree(rules_directory() / LANGUAGE, rules / LANGUAGE)
    shutil.rmtree(rules / LANGUAGE / "phrases")
    before = {fault.check for fault in check_all(rules).found}
    (rules / LANGUAGE / "senses.yaml").unlink()
    after = [fault.path for fault in check_all(rules).found]

    assert "vocabulary" in before
    assert any(path.endswith("senses.yaml") for path in after)
