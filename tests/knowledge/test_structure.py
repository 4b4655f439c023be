"""Structure: what the reasoning demands of a rule base beyond known ids."""

import pytest

# check, file, a text in it, the text that spoils it, what is told, line
SPOILED = [
    ("together", "exclusive.yaml", "[cam_late, stop_out]", "[stop_out, cam_late]", "not one of each set", 7),
    ("together", "exclusive.yaml", "sets: [cam, stop]", "sets: [cam, cam]", "paired with itself", 5),
    (
        "together",
        "exclusive.yaml",
        "together:\n",
        "together:\n  - sets: [stop, cam]\n    pairs:\n      - causes: [stop_in, cam_late]\n        links: [{to: motor_hums, strength: often}]\n",
        "weighed together with another",
        9,
    ),
    (
        "reveals",
        "limits/cam_early.yaml",
        "switch_made: present}",
        "motor_hums: present}",
        "does not reveal 'motor_hums'",
        13,
    ),
    (
        "reveals",
        "inspections/looks.yaml",
        "[wheel_turns_on]",
        "[short_by_limit, wheel_turns_on]",
        "never seen",
        21,
    ),
    (
        "derived",
        "derived/ends.yaml",
        "observation: short_by_limit",
        "observation: current_high",
        "is seen, not concluded",
        9,
    ),
    (
        "derived",
        "readings.yaml",
        "observation: current_high",
        "observation: short_by_limit",
        "never read",
        20,
    ),
    (
        "circumstance",
        "limits/cam_early.yaml",
        "{recent_work: cams_set}",
        "{switch_made: present}",
        "is an observation",
        10,
    ),
    (
        "circumstance",
        "stops/stop_out.yaml",
        "{duty: modulating}",
        "{motor_hums: present}",
        "is an observation",
        8,
    ),
    (
        "circumstance",
        "derived/ends.yaml",
        "{caution: lock_out}",
        "{ruled_out: stop_in}",
        "is an observation",
        13,
    ),
    (
        "access-way",
        "access.yaml",
        "  - {start: as_found, end: isolated, minutes: 14}\n",
        "",
        "'isolated' cannot be reached",
        5,
    ),
]


@pytest.mark.parametrize("spoiled", SPOILED, ids=lambda spoiled: spoiled[-2])
def test_structure_fault_is_told_at_its_line(rules, spoiled):
    """Each demand of the reasoning is a check with a place."""
    check, file, old, new, told, line = spoiled
    rules.replace(file, old, new)

    assert (check, file, line) in rules.faults()
    assert told in str(rules.error())


def test_joint_states_of_two_sets_are_bounded(rules):
    """Modes count as states of their set: (1 + 2) x (1 + 2 + 5) joint states are too many."""
    modes = ", ".join(f"m{n}: {{says: face {n}, portion: 0.2}}" for n in range(5))
    rules.replace("stops/stop_out.yaml", "share: 0.2", f"share: 0.2\nmodes: {{{modes}}}")

    assert "the two sets have 24 joint states; at most 16" in str(rules.error())


def test_members_of_a_group_are_one_variable_of_an_inspection(rules):
    """Two members of a group and two others make 3 x 2 x 2 = 12 outcomes, which is allowed."""
    rules.replace(
        "inspections/looks.yaml", "runs_past_open, motor_hums]", "runs_past_open, motor_hums, current_high]"
    )
    rules.replace(
        "inspections/looks.yaml",
        "reveals: [switch_made]",
        "reveals: [switch_made, supply_dead, motor_hums, current_high]",
    )

    assert [("reveals", "inspections/looks.yaml", 14)] == rules.faults()
    assert "16 different outcomes" in str(rules.error())
