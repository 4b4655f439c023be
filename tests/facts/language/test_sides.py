"""The end of travel that a phrase leaves out is taken from the words around it."""

from diagnose.facts.language.sides import choose_side, find_side, hint_side, last_side

OPEN, CLOSED = "@side_open", "@side_closed"


def test_nearest_named_end_is_taken():
    """Of two ends in a sentence the nearer one counts."""
    assert "closed" == find_side({OPEN: [(0, 1)], CLOSED: [(5, 6)]}, (6, 8))


def test_end_before_beats_end_behind_at_one_distance():
    """At equal distance the end named before counts."""
    assert "open" == find_side({OPEN: [(1, 2)], CLOSED: [(5, 6)]}, (3, 4))


def test_far_end_is_not_taken():
    """More than nine words away is another matter."""
    assert find_side({OPEN: [(0, 1)]}, (20, 22)) is None


def test_last_side_is_the_one_named_last():
    """What a sentence names last is what the next goes on about."""
    assert "open" == last_side({OPEN: [(7, 8)], CLOSED: [(3, 4)]})
    assert last_side({}) is None


def test_hint_needs_one_end_only():
    """A number near one end hints at it, numbers near both at neither."""
    assert "open" == hint_side({"@hint_open": [(0, 1)]})
    assert hint_side({"@hint_open": [(0, 1)], "@hint_closed": [(2, 3)]}) is None


def test_told_side_beats_hint_and_hint_beats_earlier_sentences():
    """The ticket's own facts come first, then the number, then what was named before."""
    assert "closed" == choose_side({"closed"}, "open", "open")
    assert "open" == choose_side(set(), "closed", "open")
    assert "closed" == choose_side({"open", "closed"}, "closed", None)
    assert choose_side(set(), None, None) is None
