"""The command line: reads arguments, calls the layers, prints results and one-line errors.

Takes argv, gives an exit code; may import everything above, heavy layers only inside the commands.
"""

from __future__ import annotations

import gc
import json
import os
import sys
import traceback
from functools import partial
from pathlib import Path
from typing import TYPE_CHECKING, Annotated, NoReturn

import typer

from diagnose import __version__
from diagnose.errors import DiagnoseError, ExitCode
from diagnose.interfaces.progress import app as progress
from diagnose.interfaces.score_command import score_tickets
from diagnose.interfaces.stroke import analyse_stroke
from diagnose.interfaces.train_command import train

if TYPE_CHECKING:
    from diagnose.explanation.reasoner import Reasoner

app = typer.Typer(
    help=(
        "Diagnose electric quarter-turn valve actuators: symptoms to ranked causes to the next inspection.\n\n"
        "Exit codes: 0 done, 2 usage, 3 rules faulty, 4 input faulty, 5 some tickets rejected, 1 a bug."
    ),
    no_args_is_help=True,
    rich_markup_mode=None,
    pretty_exceptions_enable=False,
    add_completion=False,
    context_settings={"help_option_names": ["-h", "--help"]},
)

CaseArgument = Annotated[
    str, typer.Argument(help="Case file, or the id of a case such as limits/open_cam_early-01.")
]
JsonOption = Annotated[bool, typer.Option("--json", help="Print the explanation document as JSON.")]
RulesArgument = Annotated[
    Path | None,
    typer.Argument(
        help="Rules directory, checked with the cases beside it; the shipped ones if left out. Or one case file."
    ),
]
SchemaOption = Annotated[
    bool, typer.Option("--schema", help="Print the JSON Schema of the rule files and stop.")
]
PairsOption = Annotated[
    bool, typer.Option("--pairs", help="Print what tells every two causes apart, hardest first.")
]
SourcesOption = Annotated[
    bool, typer.Option("--sources", help="Print where every number and caution comes from.")
]
FixOption = Annotated[
    bool, typer.Option("--fix", help="Bring all rule files into the one look, comments kept.")
]
AgainstOption = Annotated[
    Path | None,
    typer.Option("--against", help="List the cases that these other rules rank otherwise, and why."),
]
CasesOption = Annotated[Path | None, typer.Option("--cases", help="With --against: directory of case files.")]
TicketsOption = Annotated[
    str | None, typer.Option("--tickets", help="With --against: a file of tickets to rank as well.")
]
WithNextOption = Annotated[bool, typer.Option("--next", help="With --against: compare the next steps too.")]
ImpactJsonOption = Annotated[bool, typer.Option("--json", help="With --against: print as JSON.")]


def _show_version(wanted: bool) -> None:
    if wanted:
        print(f"diagnose {__version__}")
        raise typer.Exit


@app.callback()
def set_options(
    rules: Annotated[Path | None, typer.Option(help="Rules directory (or DIAGNOSE_RULES).")] = None,
    debug: Annotated[bool, typer.Option("--debug", help="Show tracebacks.")] = False,
    version: Annotated[bool, typer.Option("--version", callback=_show_version, is_eager=True)] = False,
) -> None:
    """Set what holds for every command."""
    del version
    if rules is not None:
        os.environ["DIAGNOSE_RULES"] = str(rules)
    if debug:
        os.environ["DIAGNOSE_DEBUG"] = "1"


@app.command("explain")
def explain_case(
    case: CaseArgument,
    verbose: Annotated[
        int, typer.Option("-v", "--verbose", count=True, help="-v fired rules, -vv also what was not met.")
    ] = 0,
    as_json: JsonOption = False,
    html: Annotated[
        Path | None, typer.Option("--html", help="Write a page for print and phone to this file instead.")
    ] = None,
) -> None:
    """Rank the causes of one case file, say why, and name the next step."""
    from diagnose.explanation.html import render_html
    from diagnose.explanation.text import render_text
    from diagnose.facts.case_file import evidence_of_case, load_case
    from diagnose.interfaces.writing import write_whole
    from diagnose.knowledge.shipped import find_case

    reasoner = _reasoner()
    loaded = load_case(find_case(case), reasoner.knowledge)
    document = reasoner.explain(evidence_of_case(loaded, reasoner.knowledge), loaded.case, loaded.title)
    if html is not None:
        write_whole(html, render_html(document))
        print(f"Written: {html}", file=sys.stderr)
    elif as_json:
        print(document.model_dump_json(indent=2))
    else:
        print(render_text(document, verbose), end="")


@app.command("ask")
def ask_questions(
    case: Annotated[str | None, typer.Option("--case", help="Go on with this case file.")] = None,
    save: Annotated[Path | None, typer.Option("--save", help="Write the answers to this case file.")] = None,
    unit: Annotated[Path | None, typer.Option("--unit", help="Unit record of the asset.")] = None,
) -> None:
    """Ask questions at the terminal, the most useful one first."""
    from diagnose.facts.case_file import Case, load_case
    from diagnose.facts.unit_record import load_unit
    from diagnose.interfaces.console import Console
    from diagnose.interfaces.hearing import build_reader
    from diagnose.interfaces.moment import start_moment
    from diagnose.interfaces.session import Session
    from diagnose.knowledge.shipped import find_case, rules_directory

    if save is not None and save.exists() and (case is None or not save.samefile(find_case(case))):
        raise typer.BadParameter(f"{save} is there already; go on with it by --case, or name another file")
    if save is not None and not save.absolute().parent.is_dir():
        raise typer.BadParameter(f"there is no directory {save.absolute().parent} to save in")
    reasoner = _reasoner()
    started = load_case(find_case(case), reasoner.knowledge) if case else Case(case="call")
    if unit is not None:
        started = started.model_copy(update={"unit": load_unit(unit)})
    if save is None and case is not None and Path(case).is_file():
        save = Path(case)
    reader = partial(build_reader, reasoner.knowledge, rules_directory())
    Console(Session(reasoner, start_moment(started), reader), save).run()


@app.command("check")
def check_rules(
    path: RulesArgument = None,
    *,
    schema: SchemaOption = False,
    pairs: PairsOption = False,
    sources: SourcesOption = False,
    fix: FixOption = False,
    against: AgainstOption = None,
    cases: CasesOption = None,
    tickets: TicketsOption = None,
    with_next: WithNextOption = False,
    as_json: ImpactJsonOption = False,
) -> None:
    """Check the rule base and the case files; list every fault with its place."""
    from diagnose.knowledge.schema import rule_schema

    if schema:
        print(json.dumps(rule_schema(), indent=2))
        return
    from diagnose.interfaces.checking import print_pairs, print_sources, run_check
    from diagnose.interfaces.fixing import print_drafts
    from diagnose.knowledge.shipped import rules_directory

    if path is not None and path.is_file():
        from diagnose.interfaces.checking import run_case_check

        run_case_check(path, as_json=as_json)
        return
    rules = path or rules_directory()
    if fix:
        from diagnose.interfaces.fixing import run_fix

        run_fix(rules)
        return
    if against is not None:
        from diagnose.interfaces.impact import run_against

        calls = cases or rules.absolute().parent / "cases"
        run_against(rules, against, calls, with_next=with_next, as_json=as_json, tickets=tickets)
        return
    if pairs:
        print_pairs(rules)
    if sources:
        print_sources(rules)
    if not pairs and not sources:
        print_drafts(rules)
        run_check(rules)


@app.command("show")
def show_id(
    name: Annotated[str, typer.Argument(metavar="ID", help="Any id of the rule base.")],
    graph: Annotated[
        Path | None, typer.Option("--graph", help="Draw its surroundings: FILE.svg, .png or .html.")
    ] = None,
    as_json: Annotated[bool, typer.Option("--json", help="Print the pages as JSON.")] = False,
) -> None:
    """Show all that the rule base holds on one id, with its links both ways."""
    from diagnose.interfaces.show import run_show
    from diagnose.knowledge.loader import load_knowledge
    from diagnose.knowledge.shipped import rules_directory

    run_show(load_knowledge(rules_directory()), name, graph, as_json=as_json)


@app.command("setup")
def set_unit_up(
    unit: Annotated[str, typer.Argument(help="Unit record, or the name of a shipped one such as fcv_3.")],
    out: Annotated[Path | None, typer.Option("--out", help="Write the sheet to this file.")] = None,
    as_json: Annotated[bool, typer.Option("--json", help="Give the sheet as JSON.")] = False,
) -> None:
    """Print the commissioning sheet of a unit: order of work, computed figures, blanks."""
    from diagnose.interfaces.setup import run_setup
    from diagnose.knowledge.loader import load_knowledge
    from diagnose.knowledge.shipped import rules_directory

    run_setup(load_knowledge(rules_directory()), unit, out, as_json=as_json)


@app.command(
    "calc",
    context_settings={"allow_extra_args": True, "ignore_unknown_options": True, "help_option_names": []},
)
def calculate(
    context: typer.Context,
    name: Annotated[str | None, typer.Argument(help="Name of a calculation; none lists all.")] = None,
    as_json: Annotated[bool, typer.Option("--json", help="Print as JSON.")] = False,
) -> None:
    """Work out a figure of the trade: diagnose calc NAME --length 120m --size 1.5mm2."""
    from diagnose.interfaces.calc import run_calc

    run_calc(name, context.args, as_json=as_json)


app.command("score")(score_tickets)
app.command("stroke")(analyse_stroke)
app.command("train")(train)
app.add_typer(progress, name="progress")


def _reasoner() -> Reasoner:
    from diagnose.explanation.reasoner import Reasoner
    from diagnose.knowledge.loader import load_knowledge
    from diagnose.knowledge.shipped import rules_directory

    reasoner = Reasoner(load_knowledge(rules_directory()))
    gc.freeze()  # the rule base stays for good: no collection need look at it again
    return reasoner


def main() -> None:
    """Run the command line; faults are one line each, tracebacks only with --debug."""
    # the arrays are small: threads would only wait for each other, 8 times as long on a busy machine
    os.environ.setdefault("OPENBLAS_NUM_THREADS", "1")
    try:
        try:
            app()
        finally:
            sys.stdout.flush()
    except DiagnoseError as error:
        _show_traceback_if_asked()
        print(error, file=sys.stderr)
        sys.exit(error.exit_code)
    except BrokenPipeError:
        _leave_quietly()
    except SystemExit as ended:
        # the command library turns a closed pipe into exit code 1, which here means a bug
        if isinstance(ended.__context__, BrokenPipeError):
            _leave_quietly()
        raise
    except Exception as error:  # noqa: BLE001 - the last door: a bug becomes one line
        _show_traceback_if_asked()
        what = " ".join(f"{type(error).__name__}: {error}".split())
        print(f"This is a bug: {what}. Run again with --debug and report it.", file=sys.stderr)
        sys.exit(1)


def _leave_quietly() -> NoReturn:
    """End well where the reader of the output has gone."""
    os.dup2(os.open(os.devnull, os.O_WRONLY), sys.__stdout__.fileno())  # type: ignore[union-attr]  # it was open
    sys.exit(ExitCode.DONE)


def _show_traceback_if_asked() -> None:
    if os.environ.get("DIAGNOSE_DEBUG"):
        traceback.print_exc()
