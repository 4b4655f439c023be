"""References: whatever names an id that is defined nowhere is told, with the nearest known one."""

import pytest

# file, a text in it, the text that spoils it, what is told, line
SPOILED = [
    ("observations.yaml", "[unit_moves]", "[unit_move]", "no sight condition 'unit_move'", 9),
    ("observations.yaml", "{supply_dead: present}", "{supply_ded: present}", "'supply_ded'", 2),
    ("observations.yaml", "opens: [stops_short", "opens: [stops_shirt", "no observation 'stops_shirt'", 4),
    (
        "observations.yaml",
        "members: [stops_short",
        "members: [stops_shirt",
        "no observation 'stops_shirt'",
        7,
    ),
    ("observations.yaml", "access: isolated", "access: insulated", "no access state 'insulated'", 15),
    ("circumstances.yaml", "unit_field: duty", "unit_field: dutty", "no unit record field 'dutty'", 6),
    (
        "readings.yaml",
        "limit_of: supply_volts",
        "limit_of: motor",
        "no number in the unit record 'motor'",
        11,
    ),
    ("readings.yaml", "observation: supply_low", "observation: supply_lo", "no observation 'supply_lo'", 11),
    ("consequences.yaml", "to: cut_out_open", "to: cutout_open", "no observation 'cutout_open'", 5),
    ("consequences.yaml", "{cut_out_open: present}", "{cut_out: present}", "'cut_out'", 10),
    ("inspections/looks.yaml", "motor_hums]", "motor_hmus]", "no observation 'motor_hmus'", 8),
    ("inspections/looks.yaml", "{supply_dead: present}", "{supply_dead: gone}", "no value 'gone'", 15),
    ("inspections/looks.yaml", "access: cover_off", "access: cover_of", "no access state 'cover_of'", 11),
    (
        "derived/ends.yaml",
        "observation: short_by_limit",
        "observation: short_by",
        "no observation 'short_by'",
        9,
    ),
    ("derived/ends.yaml", "caution: lock_out", "caution: lock_it", "no caution 'lock_it'", 14),
    ("limits/cam_early.yaml", "to: stops_short", "to: stops_shorter", "no observation 'stops_shorter'", 6),
    ("limits/cam_early.yaml", "recent_work: cams_set", "recent_work: cam_set", "no value 'cam_set'", 10),
    ("limits/cam_early.yaml", "inspection: look_at_switch", "inspection: look", "no inspection 'look'", 12),
    (
        "limits/cam_early.yaml",
        "switch_made: present}",
        "switch_mad: present}",
        "no observation 'switch_mad'",
        13,
    ),
    ("limits/cam_early.yaml", "[stops_short,", "[stop_short,", "no observation 'stop_short'", 22),
    ("limits/cam_late.yaml", "to: overheated", "to: over_heated", "no consequence 'over_heated'", 9),
    (
        "stops/stop_in.yaml",
        "links: [{to: stops_short",
        "links: [{to: stops_shut",
        "no observation 'stops_shut'",
        6,
    ),
    ("stops/stop_out.yaml", "duty: modulating", "dutie: modulating", "'dutie'", 8),
    ("access.yaml", "start: as_found\n", "start: as_fond\n", "no access state 'as_fond'", 1),
    ("access.yaml", "cover_off, isolated]", "cover_of, isolated]", "no access state 'cover_of'", 12),
    ("access.yaml", "end: cover_off", "end: cover", "no access state 'cover'", 7),
    ("cautions.yaml", "gland_work: [lock_out]", "gland_work: [look_out]", "no caution 'look_out'", 15),
    ("exclusive.yaml", "cam: [cam_early", "cam: [cam_erly", "no cause 'cam_erly'", 2),
    ("exclusive.yaml", "sets: [cam, stop]", "sets: [cam, stops]", "no exclusive set 'stops'", 5),
    ("exclusive.yaml", "to: runs_past_open", "to: runs_past", "no observation 'runs_past'", 9),
]


@pytest.mark.parametrize("spoiled", SPOILED, ids=lambda spoiled: spoiled[-2])
def test_unknown_id_is_told_at_its_line(rules, spoiled):
    """Each place that names an id is looked at, in every kind of file."""
    file, old, new, told, line = spoiled
    rules.replace(file, old, new)

    assert ("vocabulary", file, line) in rules.faults()
    assert told in str(rules.error())


def test_nearest_known_id_is_the_cure(rules):
    """A mistyped id brings the nearest known one of its kind."""
    rules.replace("limits/cam_early.yaml", "inspection: look_at_switch", "inspection: look_at_swich")

    assert ["did you mean 'look_at_switch'?"] == [fault.cure for fault in rules.error().faults]


def test_far_off_id_brings_no_guess(rules):
    """A word like no other brings no suggestion."""
    rules.replace("limits/cam_early.yaml", "inspection: look_at_switch", "inspection: zzz")

    assert ["define it first or remove it"] == [fault.cure for fault in rules.error().faults]


def test_observation_and_circumstance_share_no_name(rules):
    """Atoms know only a name, so it belongs to one kind."""
    rules.replace("circumstances.yaml", "  recent_work:", "  motor_hums:")
    rules.replace("limits/cam_early.yaml", "recent_work: cams_set", "motor_hums: present")
    rules.replace("stops/stop_in.yaml", "recent_work: stops_set", "motor_hums: present")

    assert [("doubled-id", "circumstances.yaml", 8)] == rules.faults()
