"""Layouts of pictures: no box over another, no line behind a box it does not belong to."""

import itertools

import pytest

from diagnose.explanation.picture_layout import BOX_WIDTH, lay_out
from diagnose.knowledge.surroundings import MOST_NODES, find_surroundings


def names_of(knowledge):
    """List every id whose surroundings can be drawn."""
    return (
        *knowledge.causes,
        *knowledge.observations,
        *knowledge.consequences,
        *knowledge.inspections,
        *knowledge.rules,
        *knowledge.circumstances,
    )


@pytest.fixture(scope="module")
def layouts(knowledge):
    """Lay every fourth drawable id of the rule base out; all of them take ten seconds."""
    found = {name: find_surroundings(knowledge, name) for name in names_of(knowledge)[::4]}
    return {name: lay_out(around) for name, around in found.items() if around is not None}


def is_overlapping(one, other):
    """Tell whether two boxes cover a common place."""
    return (
        abs(one.x - other.x) < BOX_WIDTH and one.y < other.y + other.height and other.y < one.y + one.height
    )


def test_no_box_covers_another(layouts):
    """In every picture of the rule base the boxes stand apart."""
    assert len(layouts) > 70
    assert [] == [
        (name, one.node.name, other.node.name)
        for name, layout in layouts.items()
        for one, other in itertools.combinations(layout.boxes, 2)
        if is_overlapping(one, other)
    ]


def test_every_box_lies_inside_the_picture(layouts):
    """No box runs off the paper."""
    assert [] == [
        (name, box.node.name)
        for name, layout in layouts.items()
        for box in layout.boxes
        if box.x < 0 or box.y < 0 or box.x + BOX_WIDTH > layout.width or box.y + box.height > layout.height
    ]


def test_labels_fit_their_boxes(layouts):
    """No line of a label is wider than its box at the size it is drawn in."""
    assert [] == [
        (name, line)
        for name, layout in layouts.items()
        for box in layout.boxes
        for line in box.lines
        if len(line) > 48
    ]


def test_passing_lines_stay_below_the_boxes_they_pass(layouts):
    """A column that lines pass has its boxes above the ends of those lines."""
    for name, layout in layouts.items():
        for tie, box in itertools.product(layout.ties, layout.boxes):
            left, right = sorted((tie.start[0], tie.end[0]))
            if left < box.x and box.x + BOX_WIDTH < right:
                assert box.y > max(tie.start[1], tie.end[1]), (name, box.node.name, tie.edge)


def test_the_weakest_links_are_left_out_and_counted(knowledge):
    """A crowded picture keeps its strongest neighbours and says how many it leaves out."""
    whole = find_surroundings(knowledge, "no_movement", most=1000)
    some = find_surroundings(knowledge, "no_movement", most=10)

    assert len(whole.nodes) > 10
    assert 0 == whole.left_out
    assert 10 == len(some.nodes)
    assert len(whole.nodes) - 10 == some.left_out
    assert {node.name for node in some.nodes} <= {node.name for node in whole.nodes}


def test_a_picture_has_room_for_so_many_boxes(layouts):
    """No picture of the rule base holds more boxes than can be read."""
    assert MOST_NODES >= max(len(layout.boxes) for layout in layouts.values())


def test_an_id_without_links_has_no_picture(knowledge):
    """A safety line is no part of the graph."""
    assert find_surroundings(knowledge, "lock_out") is None
