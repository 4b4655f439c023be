"""Bounded lists keep what a full sort would put first."""

from collections import Counter

from hypothesis import given
from hypothesis import strategies as st

from diagnose.explanation.triage_lists import Shortlist, list_most, name_commonest


@given(st.lists(st.tuples(st.integers(0, 5), st.booleans())), st.integers(1, 8))
def test_a_shortlist_is_the_head_of_the_sorted_list(keys, most):
    """The entries are those that a stable sort puts first, and the rest are counted."""
    shortlist = Shortlist(most)
    for place, key in enumerate(keys):
        shortlist.add(key, place)

    assert sorted(range(len(keys)), key=lambda place: keys[place])[:most] == shortlist.entries()
    assert max(0, len(keys) - most) == shortlist.left_out


def test_ties_go_by_name():
    """Equal counts come in the order of their names, so that a report is the same twice."""
    counts = Counter(b=2, a=2, c=3)

    assert [("c", 3), ("a", 2)] == list_most(counts, 2)
    assert "c" == name_commonest(counts.items())
    assert "" == name_commonest([])


def test_a_commonest_that_does_not_stand_out_is_not_named():
    """Nine causes of one ticket each have no commonest, nor have two that came equally often."""
    assert "" == name_commonest([("a", 1), ("b", 1)])
    assert "" == name_commonest([("a", 1)])
    assert "" == name_commonest([("a", 2), ("b", 2), ("c", 1)])
    assert "b" == name_commonest([("a", 1), ("b", 2)])
