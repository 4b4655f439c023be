"""Scored tickets as the journal of a score holds them, made for tests of the report."""

from itertools import count

_numbers = count(1)


def make_scored(
    ticket=None, *, cause="open_cam_early", chance=0.8, level="next_shift", status="ranked", **more
):
    """Make one scored ticket; columns of the ticket are given by `given`."""
    number = next(_numbers)
    causes = [{"cause": cause, "probability": chance}] if cause else []
    return {
        "row": number,
        "ticket": ticket or f"T-{number}",
        "status": status,
        "reason": None,
        "priority": {"level": level, "why": "because"},
        "causes": causes,
        "next": None,
        "ask": [],
        "notes": [],
        "given": {},
        **more,
    }


def give(asset="V-12", site="Harrow Fen", opened="2026-03-01", **more):
    """Make the columns of a ticket."""
    return {"asset": asset, "site": site, "opened": opened, **more}
