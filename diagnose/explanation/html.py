"""The explanation document as one self-contained page, for print and for a phone.

Takes an Explanation, gives HTML without script or outside links; imports document and text only.
Pure: nothing is looked up, and everything that comes from the document is escaped.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from html import escape

from diagnose.explanation.document import CauseView, Explanation, NextView, RemedyView
from diagnose.explanation.text import MORE_OUTCOMES, NOT_A_SUM, percent, say_status

_SHOWN = 10
_STYLE = """
:root { color-scheme: light dark; }
body { font: 1rem/1.45 system-ui, sans-serif; max-width: 46rem; margin: 0 auto; padding: 1rem;
  overflow-wrap: anywhere; }
h1 { font-size: 1.35rem; } h2 { font-size: 1.1rem; margin-top: 1.6rem; }
table { border-collapse: collapse; width: 100%; }
td, th { border-top: 1px solid #8888; padding: .3rem .5rem .3rem 0; text-align: left; vertical-align: top; }
td.number { text-align: right; } td.number, td.side { white-space: nowrap; font-variant-numeric: tabular-nums; }
.caution { border-left: .35rem solid currentColor; padding: .1rem .7rem; margin: .4rem 0; font-weight: 600; }
.small { font-size: .875rem; }
@media print { body { max-width: none; padding: 0; } section, tr, .caution { break-inside: avoid; } }
"""


def render_html(document: Explanation) -> str:
    """Render an explanation as a page.

    Args:
        document: What was concluded and why.

    Returns:
        A whole HTML document. Cautions come before the work they go with, none left out.
    """
    parts = [
        *_head(document),
        *_ranked(document),
        *_reasons(document),
        *_cautions(document),
        *_next(document.next),
        *_asked(document),
        *_remedy(document.remedy),
        *_firings(document),
    ]
    return (
        '<!DOCTYPE html>\n<html lang="en">\n<head>\n<meta charset="utf-8">\n'
        '<meta name="viewport" content="width=device-width, initial-scale=1">\n'
        f"<title>{escape(document.title)}</title>\n<style>{_STYLE}</style>\n</head>\n<body>\n"
        + "\n".join(parts)
        + "\n</body>\n</html>\n"
    )


def _tag(name: str, text: str, kind: str = "") -> str:
    of_kind = f' class="{kind}"' if kind else ""
    return f"<{name}{of_kind}>{escape(text)}</{name}>"


def _list(texts: Iterable[str], kind: str = "ul") -> Iterator[str]:
    items = [_tag("li", text) for text in texts]
    if items:
        yield f"<{kind}>{''.join(items)}</{kind}>"


def _row(number: str, text: str, side: str = "") -> str:
    of_side = _tag("td", side, "side") if side else ""
    return f"<tr>{_tag('td', number, 'number')}{of_side}{_tag('td', text)}</tr>"


def _head(document: Explanation) -> Iterator[str]:
    yield _tag("h1", document.title)
    counted = f"Case {document.case}; facts counted: {document.counted}; rules {document.rules_version}"
    yield _tag("p", counted, "small")
    yield _tag("p", say_status(document))
    yield from _list(document.notes)


def _ranked(document: Explanation) -> Iterator[str]:
    yield "<section>"
    yield _tag("h2", "Causes")
    yield "<table>"
    for cause in document.causes[:_SHOWN]:
        mode = f" [{cause.mode}]" if cause.mode else ""
        yield _row(percent(cause.probability), f"{cause.cause}{mode}: {cause.says}")
    yield _row(percent(document.unlisted), "something not listed")
    yield "</table>"
    hidden = len(document.causes) - _SHOWN
    yield _tag("p", f"{NOT_A_SUM}" + (f" {hidden} less likely causes are not shown." * (hidden > 0)), "small")
    for chain in document.chain:
        seen = "; ".join(chain.seen)
        yield _tag("p", f"Root before consequence: {chain.root} \N{RIGHTWARDS ARROW} {chain.says} "
                        f"\N{RIGHTWARDS ARROW} {seen}")  # fmt: skip
    yield from _list(f"Ruled out: {out.cause} ({out.reason})" for out in document.ruled_out)
    yield "</section>"


def _reasons(document: Explanation) -> Iterator[str]:
    for cause in document.causes[:1]:
        yield from _reasons_of(cause)
    if document.runner_up:
        yield _tag("p", f"Runner-up: {document.runner_up}")
    if document.turning:
        yield _tag("p", f"Would turn it: {document.turning}")


def _reasons_of(cause: CauseView) -> Iterator[str]:
    together = cause.total_decibans - cause.prior_decibans
    yield _tag("h2", f"Why {cause.cause}")
    yield _tag("p", f"Prior {cause.prior_decibans:+.1f} dB, evidence together {together:+.1f} dB. Each weight: "
                    "odds with this fact over odds without it; weights do not add up.", "small")  # fmt: skip
    yield "<table>"
    for weight in cause.weights:
        words = f" (\N{LEFT DOUBLE QUOTATION MARK}{weight.words}\N{RIGHT DOUBLE QUOTATION MARK})" * bool(
            weight.words
        )
        side = "for" if weight.decibans >= 0 else "against"
        yield _row(f"{weight.decibans:+.1f} dB", f"{weight.statement}{words}", side)
    for shift in cause.shifts:
        yield _row(f"{shift.decibans:+.1f} dB", shift.statement, "prior")
    yield "</table>"
    yield _tag("p", f"If left: {cause.if_left}")
    yield _tag("p", f"Meanwhile: {cause.interim}")


def _cautions(document: Explanation) -> Iterator[str]:
    yield _tag("h2", "Cautions")
    for caution in document.cautions:
        yield _tag("p", caution, "caution")
    yield _tag("p", document.deferral)


def _next(step: NextView) -> Iterator[str]:
    yield "<section>"
    yield _tag("h2", {"repair": "Next: repair"}.get(step.kind, "Next"))
    yield _tag("p", step.says)
    yield from _list(step.how)
    if step.path:
        way = " \N{RIGHTWARDS ARROW} ".join(step.path).replace("_", " ")
        persons = f"; persons: {step.persons}" if step.persons > 1 else ""
        yield _tag("p", f"{step.minutes:.0f} min; {way}{persons}", "small")
    if step.tools:
        yield _tag("p", f"Take: {', '.join(step.tools)}", "small")
    yield _tag("p", step.why)
    yield from _list(
        f"if {outcome.says} ({percent(outcome.chance)}): {outcome.first_cause} "
        f"{percent(outcome.first_probability)}, then {outcome.then}"
        for outcome in step.outcomes
    )
    if step.more_outcomes:
        yield _tag("p", f"{MORE_OUTCOMES}: {step.more_outcomes}", "small")
    yield "</section>"


def _asked(document: Explanation) -> Iterator[str]:
    if document.ask:
        yield _tag("h2", "Still open")
        yield from _list(f"{question.question} ({question.bits:.2f} bit)" for question in document.ask)


def _remedy(remedy: RemedyView | None) -> Iterator[str]:
    if remedy is None:
        return
    yield _tag("h2", f"If it is {remedy.cause}: {remedy.says}")
    yield _tag("p", f"{remedy.minutes:.0f} min, {remedy.access}", "small")
    yield from _list(f"not before: {condition}" for condition in remedy.waits_for)
    yield from _list(
        (
            "; ".join(
                text
                for text in (
                    step.do,
                    step.reach and f"to {step.reach}",
                    step.known_by and f"known by {step.known_by}",
                    step.if_not and f"if not: {step.if_not}",
                )
                if text
            )
            for step in remedy.steps
        ),
        "ol",
    )
    yield _tag("p", f"Proved when: {remedy.acceptance}")
    yield from _list(f"Look again: {question}" for question in remedy.observe_again)


def _firings(document: Explanation) -> Iterator[str]:
    if document.fired:
        yield _tag("h2", "Rules that fired")
        yield from _list(
            f"{firing.rule}: {firing.says} ({', '.join(firing.facts)})" for firing in document.fired
        )
