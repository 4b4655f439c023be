"""Access as a state machine."""

from itertools import pairwise

import numpy as np
import pytest

from diagnose.knowledge.base import Knowledge
from diagnose.next_step.access import add_unknowns, compile_access, list_available


def test_shortest_way_each_direction(small_base: Knowledge):
    """The way from cover off to isolated leads back over as found: 6 + 14, and 12 + 6 back."""
    ways = compile_access(small_base, small_base.access.states)

    assert ("cover_off", "as_found", "isolated") == ways.path("cover_off", "isolated")
    assert 20.0 == ways.minutes[ways.index("cover_off"), ways.index("isolated")]
    assert 18.0 == ways.minutes[ways.index("isolated"), ways.index("cover_off")]


def test_no_way_into_a_state_not_to_be_had(small_base: Knowledge):
    """A state that cannot be had today has no way into it, but one out of it."""
    ways = compile_access(small_base, {"as_found", "isolated"})

    assert () == ways.path("as_found", "cover_off")
    assert 6.0 == ways.minutes[ways.index("cover_off"), ways.index("as_found")]


def test_ways_obey_the_triangle(knowledge: Knowledge):
    """In the shipped base no detour is shorter than a way, and every way adds up along its path."""
    ways = compile_access(knowledge, knowledge.access.states)
    steps = {(c.start, c.end): c.minutes for c in knowledge.access.changes}

    assert (ways.minutes[:, :, None] + ways.minutes[None] >= ways.minutes[:, None, :] - 1e-9).all()
    for start in ways.states:
        for end in ways.states:
            path = ways.path(start, end)
            walked = sum(steps[pair] for pair in pairwise(path))

            assert walked == pytest.approx(ways.minutes[ways.index(start), ways.index(end)])


@pytest.mark.parametrize("atoms", [set(), {"hazardous_area=hazardous"}, {"hazardous_area=unknown_area"}])
def test_live_cover_off_is_excluded_unless_the_area_is_known_safe(knowledge: Knowledge, atoms: set[str]):
    """Hazardous, told unknown and not told at all exclude the live cover-off state."""
    assert "cover_off" not in list_available(knowledge, add_unknowns(knowledge, atoms))


def test_live_cover_off_may_be_had_in_a_safe_area(knowledge: Knowledge):
    """A safe area leaves every state."""
    atoms = add_unknowns(knowledge, {"hazardous_area=safe"})

    assert set(knowledge.access.states) == list_available(knowledge, atoms)


@pytest.mark.parametrize("reach", ["control_room", "at_unit", "cover_no_outage", "everything"])
def test_reach_limits_the_states(knowledge: Knowledge, reach: str):
    """What is told of the reach leaves the states the rule base names."""
    atoms = {"hazardous_area=safe", f"reach={reach}"}

    assert set(knowledge.access.reach[reach]) == list_available(knowledge, atoms)
    assert np.isfinite(compile_access(knowledge, list_available(knowledge, atoms)).minutes).any()
