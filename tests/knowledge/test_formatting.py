"""The formatter of rule files: one look, no change of meaning, no comment lost."""

import random
import shutil
from dataclasses import replace
from pathlib import Path

import pytest
import yaml
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from diagnose.errors import RulesFaulty
from diagnose.interfaces.fixing import format_files, run_fix
from diagnose.knowledge.formatting import WIDTH, format_text, kind_of_file
from diagnose.knowledge.loader import load_knowledge
from diagnose.knowledge.shipped import rules_directory
from diagnose.knowledge.written import list_comments
from diagnose.knowledge.yaml_nodes import parse_yaml, read_yaml

RULES = rules_directory()
FILES = sorted(path for path in RULES.rglob("*.yaml") if "language" not in path.parts)
# files that are one model as a whole, whose keys have an order of their own
MODELS = [
    path for path in FILES if path.parent != RULES and path.parent.name not in {"inspections", "_draft"}
]
CAUSE = Path("limits/x.yaml")


def format_bytes(text, place=CAUSE):
    """Format a text as the file that stands at a place."""
    return format_text(parse_yaml(text.encode(), "x.yaml"), kind_of_file(place))


def comments_of(text):
    """List the comments of a text."""
    return sorted(comment for *_, comment in list_comments(parse_yaml(text.encode(), "x")))


@pytest.fixture
def copied(tmp_path):
    """Copy the shipped rules."""
    return Path(shutil.copytree(RULES, tmp_path / "rules"))


def test_the_shipped_rules_load_to_the_same_knowledge(copied, knowledge):
    """Formatting every shipped file changes nothing but the digest of the files."""
    run_fix(copied)

    assert knowledge == replace(load_knowledge(copied), version=knowledge.version)


def test_formatting_twice_changes_nothing(copied):
    """After one run no file would look otherwise."""
    run_fix(copied)

    assert {} == format_files(copied)


@pytest.mark.parametrize("path", FILES, ids=lambda path: path.relative_to(RULES).as_posix())
def test_every_comment_survives(path):
    """Each comment of each shipped file is in the formatted text, once."""
    document = read_yaml(path)
    text = format_text(document, kind_of_file(path.relative_to(RULES)))

    assert sorted(comment for *_, comment in list_comments(document)) == comments_of(text)


@pytest.mark.parametrize("path", FILES[::9], ids=lambda path: path.relative_to(RULES).as_posix())
def test_lines_keep_their_width(path):
    """Only a comment, or a text that must stand in quotes, is longer than a line."""
    text = format_text(read_yaml(path), kind_of_file(path.relative_to(RULES)))

    assert [] == [
        line for line in text.splitlines() if len(line) > WIDTH and "#" not in line and '"' not in line
    ]


@settings(max_examples=25, deadline=None, suppress_health_check=list(HealthCheck))
@given(number=st.integers(0, len(MODELS) - 1), seed=st.integers(), flow=st.sampled_from([True, False, None]))
def test_any_order_of_keys_and_any_style_come_out_alike(number, seed, flow):
    """Two writings of the same file of a cause or of rules are formatted to the same text."""
    path = MODELS[number]
    place = path.relative_to(RULES)
    data = read_yaml(path).data
    other = yaml.dump(
        dict(random.Random(seed).sample(list(data.items()), len(data))),
        sort_keys=False,
        default_flow_style=flow,
        allow_unicode=True,
        width=random.Random(seed).choice([40, 80, 1000]),
    )

    bare = yaml.dump(data, sort_keys=False, allow_unicode=True)
    assert format_bytes(bare, place) == format_bytes(other, place)
    assert format_bytes(other, place) == format_bytes(format_bytes(other, place), place)


def scatter_comments(text, source):
    """Put comments above and beside lines at random, but not inside a text, where they would be text."""
    meant = yaml.safe_load(text)
    for number in range(source.randint(1, 6)):
        lines = text.split("\n")
        at = source.randrange(len(lines))
        if source.random() < 0.5:
            lines.insert(at, " " * source.randint(0, 6) + f'# above {number} "x: [')
        else:
            lines[at] += f"  # beside {number}"
        tried = "\n".join(lines)
        if is_still(tried, meant):
            text = tried
    return text


def is_still(text, meant):
    """Tell whether a text is YAML of the same meaning."""
    try:
        return meant == yaml.safe_load(text)
    except yaml.YAMLError:
        return False


@settings(max_examples=40, deadline=None, suppress_health_check=list(HealthCheck))
@given(number=st.integers(0, len(MODELS) - 1), seed=st.integers())
def test_comments_at_any_place_survive_and_stay_put(number, seed):
    """Comments scattered over a file are all there after formatting, and a second run moves none of them."""
    place = MODELS[number].relative_to(RULES)
    text = scatter_comments(MODELS[number].read_text("utf-8"), random.Random(seed))
    once = format_bytes(text, place)

    assert comments_of(text) == comments_of(once)
    assert once == format_bytes(once, place)


def test_keys_stand_in_the_order_of_the_format():
    """The keys of a model come in the order of its fields, `source` last; ids keep the author's order."""
    text = format_bytes(
        "source: estimate\nlinks:\n- {strength: often, to: b}\n- {to: a, strength: rarely}\ncause: x\n"
    )

    assert (
        text
        == "cause: x\nlinks:\n  - {to: b, strength: often}\n  - {to: a, strength: rarely}\nsource: estimate\n"
    )


def test_comments_move_with_their_key():
    """A comment stays above or beside the key it was written for when the key changes its place."""
    text = format_bytes("# head\npart: limits  # where\n# why so\nshare: 0.1\ncause: x\n# end\n")

    assert text == "# head\ncause: x\npart: limits  # where\n# why so\nshare: 0.1\n# end\n"


def test_a_comment_inside_a_short_mapping_opens_it():
    """A mapping that holds a comment is written over several lines."""
    text = format_bytes("in_service: {verdict: now,\n  interim: none}  # for once\n")

    assert text == "in_service:\n  verdict: now\n  interim: none  # for once\n"


def test_a_hash_inside_a_text_is_no_comment():
    """A `#` in quotes or inside a folded text stays text."""
    text = format_bytes('says: "Number # 4"\nsource: >-  # from where\n  a # b\n')

    assert text == 'says: "Number # 4"\nsource: "a # b"  # from where\n'


def test_a_short_mapping_of_a_list_may_take_two_lines():
    """An item that is a little too long is parted at a comma; a comment beside it stays on its first line."""
    says = "A torque-seated end is not ended by its limit, and so forth"
    text = format_bytes(
        f"circumstances:\n- says: {says}\n  when: {{open_seating: torque}}  # as said\n  decibans: -8\n  group: seating\n"
    )
    apart = format_bytes(
        f'circumstances:\n- {{says: "{says}", when: {{open_seating: torque}}, decibans: -8, group: seating}}  # as said\n'
    )

    assert "  - when: {open_seating: torque}  # as said\n    decibans: -8\n" in text
    assert apart == (
        "circumstances:\n"
        "  - {when: {open_seating: torque}, decibans: -8, group: seating,  # as said\n"
        f'     says: "{says}"}}\n'
    )
    assert apart == format_bytes(apart)


def test_a_long_text_is_folded():
    """A text that does not fit its line is folded at spaces and reads back whole."""
    says = "word " * 40 + "end"
    text = format_bytes(f"says: {says}\n")

    assert text.startswith("says: >-\n  word word")
    assert {"says": says} == parse_yaml(text.encode(), "x").data


def test_words_stay_words_and_numbers_numbers():
    """What was quoted because it would read as a number or a truth value stays quoted, the rest stays plain."""
    text = format_bytes("says: '12'\nsource: 'true'\nshare: 0.10\nnew: true\npart: no\n")

    assert text == 'part: no\nsays: "12"\nnew: true\nshare: 0.10\nsource: "true"\n'


def test_a_file_with_anchors_is_left_alone():
    """An alias has no place of its own; such a file comes back as it was."""
    text = "says: &a word\nsource: *a\n"

    assert text == format_bytes(text)


def test_nothing_is_written_while_a_file_is_no_yaml(copied):
    """One broken file keeps all others as they are and is named with its line."""
    (copied / "limits" / "cam_loose.yaml").write_text("cause: [\n", "utf-8")
    before = {path: path.read_bytes() for path in copied.rglob("*.yaml")}

    with pytest.raises(RulesFaulty, match=r"cam_loose\.yaml:2:1: \[yaml\]"):
        run_fix(copied)
    assert before == {path: path.read_bytes() for path in copied.rglob("*.yaml")}
