"""The explanation document as text: about twenty lines, more with `-v` and `-vv`.

Takes an Explanation, gives a string; imports document only. Pure: nothing is looked up, nothing printed.
"""

from __future__ import annotations

import textwrap
from collections.abc import Iterable, Iterator

from diagnose.explanation.document import CauseView, Explanation, NextView, OutcomeView, Weighed

WIDTH = 80
SHOWN = 4
SHOWN_LONG = 10
_WEIGHTS = "(each weight: odds with this fact over odds without it; weights do not add up)"
MORE_OUTCOMES = "less likely outcomes, not followed here"
NOT_A_SUM = "Causes can be present together, so these probabilities do not add up to one."


def render_text(document: Explanation, verbosity: int = 0, width: int = WIDTH) -> str:
    """Render an explanation for a terminal or a file.

    Args:
        document: What was concluded and why.
        verbosity: 0 short, 1 with every rule that fired, 2 also with what was not met.
        width: Columns to fill.

    Returns:
        Lines joined by newlines, with one at the end. Cautions are never folded away.
    """
    lines = [
        *_head(document, width),
        *_ranked(document, verbosity, width),
        *_reasons(document, verbosity, width),
        *_next(document.next, verbosity, width),
        *_asked(document, width),
        *_remedy(document, verbosity, width),
        *_cautions(document, width),
    ]
    if verbosity >= 1:
        lines += _fired(document, width)
    if verbosity >= 2:
        lines += _not_met(document, width)
    return "\n".join(lines) + "\n"


def wrap(text: str, width: int, indent: int = 0, hang: int = 2) -> list[str]:
    """Wrap one paragraph, with later lines hanging in by `hang` more columns."""
    first, later = " " * indent, " " * (indent + hang)
    return textwrap.wrap(
        _clean(text), width, initial_indent=first, subsequent_indent=later, break_on_hyphens=False
    )


def shorten(text: str, width: int, indent: int = 0) -> str:
    """Cut a sentence to one line, with dots where something is left out."""
    room, text = width - indent, " ".join(_clean(text).split())
    cut = text if len(text) <= room else text[: room - 3].rsplit(" ", 1)[0].rstrip(" ,;(") + " ..."
    return " " * indent + cut


def _clean(text: str) -> str:
    """Leave nothing in a text that could steer a terminal: what cannot be printed is escaped."""
    return "".join(c if c.isprintable() or c in "\n\t" else ascii(c)[1:-1] for c in text)


def percent(probability: float) -> str:
    """Write a probability in per cent, never rounding a doubt away to 0 or 100."""
    rounded = f"{probability * 100:.0f} %"
    if rounded == "0 %" and probability > 0:
        return "<1 %"
    if rounded == "100 %" and probability < 1:
        return ">99 %"
    return rounded


def _head(document: Explanation, width: int) -> Iterator[str]:
    yield from wrap(f"{document.title} ({document.case})", width)
    yield from wrap(
        f"{say_status(document)}  [facts counted: {document.counted}; rules {document.rules_version}]", width
    )
    for note in document.notes:
        yield from wrap(f"! {note}", width)


def say_status(document: Explanation) -> str:
    """Say in words what the ranking is good for."""
    if document.status == "ask_first":
        return "Too little to say yet: ask first."
    if document.status == "not_covered":
        return f"Not covered ({document.reason}): no listed cause fits well enough."
    return "Ranked."


def _ranked(document: Explanation, verbosity: int, width: int) -> Iterator[str]:
    yield ""
    shown = document.causes[: (SHOWN, SHOWN_LONG, None)[min(verbosity, 2)]]
    for cause in shown:
        mode = f" [{cause.mode}]" if cause.mode else ""
        line = f"{cause.cause}{mode}: {cause.says}"
        if verbosity:
            yield from wrap(f"{percent(cause.probability):>6}  {line}", width, hang=8)
        else:
            yield f"{percent(cause.probability):>6}  {shorten(line, width - 8)}"
    hidden = len(document.causes) - len(shown)
    rest = f" {hidden} less likely causes hidden, use -v{'v' * verbosity}." if hidden else ""
    yield from wrap(f"{percent(document.unlisted):>6}  something not listed.{rest}", width, hang=8)
    yield from wrap(NOT_A_SUM, width)
    for chain in document.chain:
        seen = "; ".join(chain.seen)
        yield from wrap(f"Root before consequence: {chain.root} -> {chain.says} -> {seen}", width)
    if document.ruled_out:
        names = _few([out.cause for out in document.ruled_out], verbosity)
        yield from wrap(f"Ruled out: {names} ({document.ruled_out[0].reason})", width)


def _few(names: list[str], verbosity: int) -> str:
    if verbosity or len(names) <= SHOWN:
        return ", ".join(names)
    return ", ".join(names[:SHOWN]) + f" and {len(names) - SHOWN} more"


def _reasons(document: Explanation, verbosity: int, width: int) -> Iterator[str]:
    views = document.causes[:SHOWN] if verbosity else document.causes[:1]
    for cause in views:
        if cause.weights or verbosity:
            yield ""
            yield from _reasons_of(cause, verbosity, width)
    if document.runner_up:
        yield from _fit(f"Runner-up: {document.runner_up}", verbosity, width)
    if document.turning:
        yield from _fit(f"Would turn it: {document.turning}", verbosity, width)


def _fit(text: str, verbosity: int, width: int, indent: int = 0, hang: int = 2) -> list[str]:
    """Wrap in the long forms, cut to one line in the short one."""
    return wrap(text, width, indent, hang) if verbosity else [shorten(text, width, indent)]


def _reasons_of(cause: CauseView, verbosity: int, width: int) -> Iterator[str]:
    together = cause.total_decibans - cause.prior_decibans
    head = f"Why {cause.cause}: prior {cause.prior_decibans:+.1f} dB, evidence together {together:+.1f} dB"
    yield from wrap(head, width)
    if verbosity:
        yield from wrap(_WEIGHTS, width, 2)
    for label, weights in (
        ("for", [w for w in cause.weights if w.decibans >= 0.05]),
        ("against", [w for w in cause.weights if w.decibans <= -0.05]),
    ):
        shown = weights if verbosity else weights[:SHOWN]
        for weight in shown:
            head = f"  {label:<8}{weight.decibans:+6.1f}  "
            reason = _fit(_weighed(weight, verbosity), verbosity, width, len(head), 0)
            yield from (head + reason[0].lstrip(), *reason[1:])
        if len(weights) > len(shown):
            yield from wrap(f"and {len(weights) - len(shown)} more {label}, use -v", width, 2)
    if verbosity:
        for shift in cause.shifts:
            yield from wrap(f"prior   {shift.decibans:+6.1f}  {shift.statement} [{shift.rule}]", width, 2, 16)


def _weighed(weight: Weighed, verbosity: int) -> str:
    words = f' ("{weight.words}")' if weight.words else ""
    rule = f" [{weight.rule}; {weight.source}]" if verbosity else ""
    return f"{weight.statement}{words}{rule}"


def _next(step: NextView, verbosity: int, width: int) -> Iterator[str]:
    yield ""
    if step.kind in {"nothing_to_reach", "hand_over"}:
        yield from wrap(f"Next: {step.says}", width)
        yield from wrap(step.why, width, 2)
        return
    word = {"inspection": "Next", "repair": "Next, repair"}[step.kind]
    path = (
        f", {' -> '.join(step.path).replace('_', ' ')}"
        if len(step.path) > 1
        else f", {step.access.replace('_', ' ')}"
    )
    yield from wrap(f"{word}: {step.says} ({step.minutes:.0f} min{path})", width)
    for how in step.how if verbosity else ():
        yield from wrap(f"- {how}", width, 2)
    yield from _fit(step.why, verbosity, width, 2)
    for outcome in step.outcomes:
        yield from _outcome(outcome, verbosity, width)
    if step.more_outcomes:
        yield from wrap(f"{MORE_OUTCOMES}: {step.more_outcomes}", width, 2)
    if step.tools or step.persons > 1:
        yield from wrap(f"Take: {', '.join(step.tools)}; persons: {step.persons}", width, 2)


def _outcome(outcome: OutcomeView, verbosity: int, width: int) -> Iterator[str]:
    """Say what one outcome would do: the finding on one line, what follows on the next."""
    yield from _fit(f"if {outcome.says} ({percent(outcome.chance)}):", verbosity, width, 2)
    first = f"{outcome.first_cause} {percent(outcome.first_probability)}, then {outcome.then}"
    yield from _fit(first, verbosity, width, 4)


def _asked(document: Explanation, width: int) -> Iterator[str]:
    if document.status == "ranked":
        return
    for question in document.ask[:2]:
        yield from wrap(f"Ask: {question.question}", width)


def _remedy(document: Explanation, verbosity: int, width: int) -> Iterator[str]:
    remedy = document.remedy
    if remedy is None:
        return
    yield ""
    head = f"If it is {remedy.cause}: {remedy.says} ({remedy.minutes:.0f} min, {remedy.access})"
    yield from wrap(head, width)
    if not verbosity and document.next.kind != "repair":
        rest = f"{len(remedy.steps)} steps, their conditions and the proof of the repair: use -v"
        yield from wrap(rest, width, 2)
        return
    for condition in remedy.waits_for:
        yield from wrap(f"not before: {condition}", width, 2)
    for number, step in enumerate(remedy.steps, start=1):
        reach = f"; to {step.reach}" if step.reach else ""
        yield from wrap(f"{number}. {step.do}{reach}", width, 2, 3)
    yield from wrap(f"Proved when: {remedy.acceptance}", width, 2)


def _cautions(document: Explanation, width: int) -> Iterator[str]:
    yield ""
    for caution in document.cautions:
        yield from wrap(f"CAUTION {caution}", width)
    yield from wrap(document.deferral, width)


def _fired(document: Explanation, width: int) -> list[str]:
    lines = ["", f"Rules that fired ({len(document.fired)}):"]
    for firing in document.fired:
        facts = ", ".join(firing.facts)
        lines += wrap(f"{firing.rule}: {facts} => {firing.concludes}. {firing.says}", width, 2)
    return lines


def _not_met(document: Explanation, width: int) -> list[str]:
    lines = ["", f"Rules that wait for more ({len(document.not_met)}):"]
    lines += _flatten(
        wrap(f"{miss.rule}: lacks {', '.join(miss.lacks)}", width, 2) for miss in document.not_met
    )
    return lines


def _flatten(parts: Iterable[list[str]]) -> list[str]:
    return [line for part in parts for line in part]
