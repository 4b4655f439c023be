"""Conditions against their branches."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from diagnose.knowledge.branches import MAX_BRANCHES, TooManyBranchesError, expand_condition
from diagnose.knowledge.words import Condition

NAMES = ["a", "b", "c", "d", "e"]
LEAVES = st.builds(
    lambda name, value: {name: value}, st.sampled_from(NAMES), st.sampled_from(["present", "absent"])
)


def shapes(inner):
    """Build conditions of every shape around inner ones."""
    several = st.lists(inner, min_size=1, max_size=3)
    return st.one_of(
        st.builds(lambda parts: {"all": parts}, several),
        st.builds(lambda parts: {"any": parts}, several),
        st.builds(lambda every, some: {"all": every, "any": some}, several, several),
        several.flatmap(
            lambda parts: st.builds(lambda n: {"at_least": n, "of": parts}, st.integers(1, len(parts)))
        ),
    )


CONDITIONS = st.recursive(LEAVES, shapes, max_leaves=8).map(Condition.model_validate)
FACTS = st.sets(st.sampled_from([f"{name}={value}" for name in NAMES for value in ("present", "absent")]))


def holds(condition, atoms):
    """Tell whether a condition holds, straight from its words."""
    if condition.atom is not None:
        return str(condition.atom) in atoms
    if condition.at_least is not None:
        return sum(holds(part, atoms) for part in condition.of) >= condition.at_least
    return all(holds(part, atoms) for part in condition.all) and (
        not condition.any or any(holds(part, atoms) for part in condition.any)
    )


@given(CONDITIONS, FACTS)
def test_branches_mean_the_condition(condition, atoms):
    """Some branch is known exactly when the condition holds."""
    branches = expand_condition(condition)
    assert holds(condition, atoms) == any(branch <= atoms for branch in branches)


@given(CONDITIONS)
def test_no_branch_holds_another(condition):
    """Every branch is needed."""
    branches = expand_condition(condition)
    assert not any(one < other for one in branches for other in branches)


def any_of(count):
    """Make a condition with that many branches."""
    return Condition.model_validate({"any": [{f"o{n}": "present"} for n in range(count)]})


def test_branches_at_the_limit():
    """As many branches as allowed are allowed, one more is not."""
    assert MAX_BRANCHES == len(expand_condition(any_of(MAX_BRANCHES)))
    with pytest.raises(TooManyBranchesError):
        expand_condition(any_of(MAX_BRANCHES + 1))


def test_explosion_is_stopped_on_the_way():
    """A condition of 6 to the power of 30 branches is refused before they are made."""
    part = {"any": [{f"o{n}": "present"} for n in range(6)]}
    parts = [{"any": [{f"p{k}_{n}": "present"} for n in range(6)]} for k in range(30)]
    with pytest.raises(TooManyBranchesError):
        expand_condition(Condition.model_validate({"all": [part, *parts]}))
