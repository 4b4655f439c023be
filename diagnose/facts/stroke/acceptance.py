"""The acceptance sentence of a remedy, read into points: what the log can show, and what is left to do by hand.

Takes a sentence and a `Subject`, gives points; may import acceptance_checks. The limits are those of the
sentence itself, so that a rule file stays the one place where they are written.
"""

from __future__ import annotations

import re
from collections.abc import Callable
from typing import Literal

from diagnose.facts.stroke import acceptance_checks as checks
from diagnose.facts.stroke.acceptance_checks import Outcome, Result, Subject
from diagnose.facts.stroke.strokes import End
from diagnose.knowledge.words import Model

Check = Callable[[Subject, "re.Match[str]"], Outcome]
_COUNTS = {
    "one": 1,
    "once": 1,
    "two": 2,
    "twice": 2,
    "three": 3,
    "four": 4,
    "five": 5,
    "ten": 10,
}
_NUMBER = r"\d+(?:\.\d+)?"
_LIST = r"\d+(?:, \d+)*(?: and \d+)?"
_COUNT = "|".join(_COUNTS)
# Where the sentence ends and its standing begins.
_STANDING = re.compile(r"\s*\([^()]*\)\s*\.?\s*$")
# Things that no column of a log shows, up to the end of their clause; a comma within a list of numbers ends none.
_BY_HAND = re.compile(
    r"\b(?:card shows|screen within|position shown)\b"
    r"(?:[^,;]|,(?= \d))*?(?=,(?! \d)|;| and (?:travel|the gear)|$)"
)
_JOINTS = re.compile(r"\0+|;\s")
_FILLERS = re.compile(r"^(?:and|with|then)\b\s*|\s+(?:and|with|then)$|[.,;\s]+$|^[.,;\s]+")


class AcceptancePoint(Model):
    """One point of an acceptance check.

    Attributes:
        says: The part of the sentence.
        words: What the log shows of it; empty for what is to be done by hand.
    """

    says: str
    result: Literal["pass", "fail", "cannot tell", "by hand"]
    words: str = ""


def check_acceptance(sentence: str, subject: Subject) -> tuple[AcceptancePoint, ...]:
    """Hold a log against the acceptance sentence of a remedy.

    Args:
        sentence: The sentence of the rule file.
        subject: The analysed log, and the unit record.

    Returns:
        Points the log can show, in order of the sentence, then what it cannot show, to be done by hand.
    """
    text = _STANDING.sub("", " ".join(sentence.split()))
    found: list[tuple[int, AcceptancePoint]] = []
    rest = text[:1].lower() + text[1:]
    by_hand: list[str] = []
    for match in reversed(list(_BY_HAND.finditer(rest))):
        by_hand.insert(0, match.group())
        rest = _blank(rest, match)
    for pattern, check in _PATTERNS:
        for match in pattern.finditer(rest):
            if any(group for group in match.groups()) or match.group().strip():
                outcome = check(subject, match)
                point = AcceptancePoint(
                    says=match.group().strip(), result=outcome.result, words=outcome.words
                )
                found.append((match.start(), point))
                rest = _blank(rest, match)
    left = [cleaned for part in _JOINTS.split(rest) if (cleaned := _clean(part))]
    shown = tuple(point for _, point in sorted(found, key=lambda one: one[0]))
    return shown + tuple(AcceptancePoint(says=part, result="by hand") for part in (*by_hand, *left))


def count_results(points: tuple[AcceptancePoint, ...]) -> dict[Result, int]:
    """Count the points by result."""
    results: tuple[Result, ...] = ("pass", "fail", "cannot tell", "by hand")
    return {result: sum(point.result == result for point in points) for result in results}


def _blank(text: str, match: re.Match[str]) -> str:
    return text[: match.start()] + "\0" * (match.end() - match.start()) + text[match.end() :]


def _clean(part: str) -> str:
    cleaned = part.replace("\0", "").strip()
    while (shorter := _FILLERS.sub("", cleaned)) != cleaned:
        cleaned = shorter
    return cleaned if len(cleaned) > 3 else ""


def _numbers(text: str | None) -> list[float]:
    return [float(number) for number in re.findall(_NUMBER, text or "")]


def _ways(match: re.Match[str]) -> tuple[int, ...]:
    way = match["way"] or ""
    return (1,) if way.startswith("open") else (-1,) if way.startswith("clos") else (1, -1)


def _ends(text: str | None) -> tuple[End, ...]:
    if text is None:
        return ("open", "closed")
    return ("open",) if text.lower().startswith("open") else ("closed",)


def _full_strokes(s: Subject, m: re.Match[str]) -> Outcome:
    within = float(m["tol"]) if m.groupdict().get("tol") else None
    return checks.check_strokes(s, _ways(m), _COUNTS[m["n"]], within)


def _quiet(s: Subject, m: re.Match[str]) -> Outcome:
    minutes = _COUNTS[m["n"]]
    return checks.check_quiet(s, _numbers(m["list"]), minutes)


def _step(s: Subject, m: re.Match[str]) -> Outcome:
    return checks.check_step(s, float(m["size"]), float(m["tol"]) if m["tol"] else None)


def _time_and_current(s: Subject, _: re.Match[str]) -> Outcome:
    return checks.worst_of([_time(s), _current(s, 1.25)])


def _time(s: Subject) -> Outcome:
    names: tuple[Literal["stroke_time_opening", "stroke_time_closing"], ...] = (
        "stroke_time_opening",
        "stroke_time_closing",
    )
    return checks.check_nominal(s, names, "stroke_time_s", 1.25, "s")


def _current(s: Subject, factor: float) -> Outcome:
    return checks.check_nominal(s, ("running_current",), "running_current_a", factor, "A")


# Earlier patterns take their words before later ones look.
_PATTERNS: tuple[tuple[re.Pattern[str], Check], ...] = tuple(
    (re.compile(pattern, re.IGNORECASE), check)
    for pattern, check in (
        (
            rf"(?P<n>{_COUNT}) full (?P<way>opening|closing) strokes end on the limit",
            lambda s, m: checks.worst_of([_full_strokes(s, m), checks.check_limit(s, _ends(m["way"]))]),
        ),
        (
            rf"(?P<n>{_COUNT}) full strokes each way end within (?P<tol>{_NUMBER}) degrees? of one another",
            lambda s, m: checks.worst_of(
                [
                    checks.check_count(s, _COUNTS[m["n"]]),
                    checks.check_spread(s, float(m["tol"]) / 0.9),
                ]
            ),
        ),
        (
            (
                rf"(?P<n>{_COUNT}) full (?P<way>opening |closing )?strokes?(?: each way)?(?: start in both directions and)?"
                rf" end at the(?:ir)? (?:open |closed |stem )?marks?(?: within (?P<tol>{_NUMBER}) %)?"
            ),
            _full_strokes,
        ),
        (
            (
                rf"(?P<n>{_COUNT}) (?:full )?(?P<way>opening strokes?|closing strokes?|openings|closings)"
                r"(?: at service (?:pressure|state))?"
            ),
            _full_strokes,
        ),
        (
            rf"(?<!through )(?<!over )(?P<n>{_COUNT}) full strokes? (?:each way|to both stem marks)(?P<way>)",
            _full_strokes,
        ),
        (
            r"(?:(?:with |on )?the (?:(?P<end>open|close|closed) )?limit made|on the (?P<other>open|close) limit)",
            lambda s, m: checks.check_limit(s, _ends(m["end"] or m["other"])),
        ),
        (
            r"no torque trip|(?:no|without(?: a)?)(?: torque)? trip(?: (?:under way|in free travel))?",
            lambda s, _: checks.check_no_torque(s),
        ),
        (
            rf"(?:travel follows )?five points(?: up and down)? within (?P<tol>{_NUMBER}) %(?: by calibrator)?",
            lambda s, m: checks.check_five_points(s, float(m["tol"])),
        ),
        (
            rf"(?P<list>{_LIST}) % command give [\d, and]+ % travel within (?P<tol>{_NUMBER}) %",
            lambda s, m: checks.check_points(s, _numbers(m["list"]), float(m["tol"])),
        ),
        (
            (
                rf"(?:full travel|(?:the )?travel|stem mark) (?:is |follows )?within (?P<tol>{_NUMBER}) %"
                rf"(?: at (?P<list>{_LIST}) %(?: command)?)?"
            ),
            lambda s, m: checks.check_points(s, _numbers(m["list"]), float(m["tol"])),
        ),
        (
            rf"(?:travel )?follows within (?P<tol>{_NUMBER}) %",
            lambda s, m: checks.check_points(s, (), float(m["tol"])),
        ),
        (
            (
                rf"position (?:output|current)[^,;\0]*? within (?P<tol>{_NUMBER}) mA"
                rf"(?: at {_LIST} %(?: up and down)?| at the stem marks| from closed to open)?"
            ),
            lambda s, m: checks.check_output(s, float(m["tol"])),
        ),
        (
            rf"holds (?P<list>{_LIST}) % for (?P<n>{_COUNT}) minutes each without a start",
            _quiet,
        ),
        (
            rf"no start(?: of the motor)? in (?P<n>{_COUNT}) minutes(?: at (?P<list>{_LIST}) %| of constant command)?",
            _quiet,
        ),
        (
            rf"a step of (?P<size>{_NUMBER}) %(?: each way)? is followed(?: both ways)?(?: within (?P<tol>{_NUMBER}) %)?",
            _step,
        ),
        (
            rf"directions differ by at most (?P<tol>{_NUMBER}) % at (?P<at>\d+) %",
            lambda s, m: checks.check_gap(s, float(m["at"]), float(m["tol"])),
        ),
        (
            rf"travel at (?P<at>\d+) % alike from both sides within (?P<tol>{_NUMBER}) %",
            lambda s, m: checks.check_gap(s, float(m["at"]), float(m["tol"])),
        ),
        (
            rf"reversal of (?P<size>{_NUMBER}) % answered at (?P<list>{_LIST}) %",
            lambda s, m: checks.check_reversal(s, float(m["size"]), _numbers(m["list"])),
        ),
        (
            rf"run-on below (?P<tol>{_NUMBER}) %(?: at (?:{_COUNT}) stops)?",
            lambda s, m: checks.check_reading(s.analysis.readings["coast"], float(m["tol"]), "%"),
        ),
        (r"starts per hour(?: stay)? below the rating(?: for an hour)?", lambda s, _: checks.check_starts(s)),
        (r"within a quarter of plate current and nominal time", _time_and_current),
        (
            r"(?:stroke time )?within a quarter of (?:the plate time|nominal)|stroke time within a quarter of the plate",
            lambda s, _: _time(s),
        ),
        (r"running current within a quarter of the plate", lambda s, _: _current(s, 1.25)),
        (r"current(?: at the board)? (?:at most|within)(?: the)? plate", lambda s, _: _current(s, 1.0)),
        (
            rf"lowest voltage at the terminals(?: over (?:{_COUNT}) starts at full load)? is at least nine tenths of nominal",
            lambda s, _: checks.check_supply(s, 0.9),
        ),
    )
    if check is not None
)
