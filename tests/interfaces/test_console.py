"""The terminal of a question session: in a pipe, at a keyboard, with Ctrl-C."""

import os
import re
import shutil
import subprocess
import sys
from pathlib import Path

import pexpect
import pytest

from diagnose.explanation.reasoner import Reasoner
from diagnose.facts.case_file import Case, load_case
from diagnose.facts.model import Evidence
from diagnose.interfaces.answers import Answer
from diagnose.interfaces.console import HELP, Console
from diagnose.interfaces.moment import Reply
from diagnose.interfaces.prompts import Prompt
from diagnose.ranking.rank import Ranking

ROOT = Path(__file__).parent.parent.parent
SMALL = ROOT / "tests" / "fixtures" / "rules_good"
ESCAPES = re.compile(r"\x1b\[[0-9;?]*[A-Za-z]")


def environment(**more: str) -> dict[str, str]:
    """Give a plain environment that finds this checkout from any directory."""
    return {
        **os.environ,
        "PYTHONPATH": str(ROOT),
        "COLUMNS": "80",
        "LINES": "24",
        "TERM": "xterm",
        "PROMPT_TOOLKIT_NO_CPR": "1",
        **more,
    }


def run_ask(folder: Path, lines: str, *options: str, rules: Path = SMALL) -> subprocess.CompletedProcess[str]:
    """Run a session with typed lines on a pipe."""
    command = [sys.executable, "-m", "diagnose", "--rules", str(rules), "ask", *options]
    return subprocess.run(
        command,
        input=lines,
        cwd=folder,
        env=environment(),
        capture_output=True,
        text=True,
        check=False,
        timeout=60,
    )


def test_a_session_in_a_pipe_is_saved_and_ranked(tmp_path, small_base):
    """Answers on a pipe give questions with their cautions, movement, the file and the ranking."""
    done = run_ask(tmp_path, "1\nyes\nquit\n", "--save", "call.yaml")

    assert (0, "") == (done.returncode, done.stderr)
    assert "What is it doing?" in done.stdout
    assert "CAUTION Lock the supply off and prove it dead." in done.stdout
    assert small_base.cautions.deferral in done.stdout
    assert "->" in done.stdout
    assert "Saved: call.yaml\nGo on with: diagnose ask --case call.yaml" in done.stdout
    assert "something not listed" in done.stdout
    case = load_case(tmp_path / "call.yaml", small_base)
    assert [("stops_short", "present")] == [(fact.observation, fact.state) for fact in case.facts]


def test_end_of_input_keeps_the_answers(tmp_path, small_base):
    """Where the pipe ends, the answers are in a file of their own, which is named."""
    done = run_ask(tmp_path, "1\nyes\n")

    assert 0 == done.returncode
    assert "Saved: case-001.yaml" in done.stdout
    assert 1 == len(load_case(tmp_path / "case-001.yaml", small_base).facts)


@pytest.mark.parametrize("lines", ["", "quit\n", "rank\nhelp\nwhy\nback\nsave\n"])
def test_without_an_answer_nothing_is_written(tmp_path, lines):
    """A session that learned nothing leaves no file."""
    done = run_ask(tmp_path, lines)

    assert 0 == done.returncode
    assert [] == list(tmp_path.iterdir())


def test_help_is_there_at_any_time(tmp_path):
    """`help` says every word of command."""
    done = run_ask(tmp_path, "help\n1\nhelp\n")
    text = " ".join(done.stdout.split())

    assert [2] * len(HELP) == [text.count(" ".join(line.split())) for line in HELP]


def test_a_question_asked_again_is_short(tmp_path):
    """After a word of command only the question's line comes back, and says that the cautions hold."""
    done = run_ask(tmp_path, "1\nyes\nrank\nwhy\n")

    assert 1 == done.stdout.count("CAUTION ")
    assert 2 == done.stdout.count("The cautions above hold.")


class Told:
    """A session that gives prompts one after the other and takes any answer."""

    def __init__(self, reasoner: Reasoner, *prompts: Prompt) -> None:
        """Take the prompts."""
        self.reasoner, self.prompts, self.case = reasoner, list(prompts), Case(case="call")

    def prompt(self) -> Prompt:
        """Give the prompt of now."""
        return self.prompts[0]

    def answer(self, prompt: Prompt, answer: Answer) -> Reply:
        """Go on to the next prompt."""
        del answer
        self.prompts.remove(prompt)
        return Reply()

    def ranking(self) -> Ranking:
        """Rank on nothing."""
        return self.reasoner.rank(Evidence())


def show(reasoner: Reasoner, capsys: pytest.CaptureFixture[str], *prompts: Prompt) -> list[str]:
    """Show prompts one after the other, and give the lines on cautions of each."""
    lines = iter(["yes"] * (len(prompts) - 1) + ["quit"])
    Console(Told(reasoner, *prompts), None, lambda _: next(lines)).run()
    parts = re.split("|".join(prompt.text for prompt in prompts), capsys.readouterr().out)
    return ["\n".join(re.findall(r"CAUTION .*|The cautions above hold\.", part)) for part in parts[:-1]]


def test_cautions_stand_in_full_once_a_step(small_reasoner, capsys):
    """Questions of one look show its lines once and then say that they hold; what is new there is shown."""
    one = Prompt("observation", "a", "First?", cautions=("Lock out.",), step="look_one")
    two = Prompt("observation", "b", "Second?", cautions=("Lock out.", "Hot."), step="look_one")

    assert ["CAUTION Lock out.", "CAUTION Hot.\nThe cautions above hold."] == show(
        small_reasoner, capsys, one, two
    )


def test_cautions_come_again_with_every_new_step(small_reasoner, capsys):
    """The next look shows its lines in full again, those that stood above too; so does coming back to the first."""
    one = Prompt("observation", "a", "First?", cautions=("Lock out.",), step="look_one")
    two = Prompt("observation", "b", "Second?", cautions=("Lock out.",), step="look_two")
    three = Prompt("observation", "c", "Third?", cautions=("Lock out.",), step="look_one")

    assert ["CAUTION Lock out."] * 3 == show(small_reasoner, capsys, one, two, three)


def test_what_belongs_to_no_step_shows_its_cautions_in_full(small_reasoner, capsys):
    """Two endings in a row, of whatever kind, each show their lines."""
    one = Prompt("finished", "a", "First.", cautions=("Lock out.",))
    two = Prompt("finished", "b", "Second.", cautions=("Lock out.",))

    assert ["CAUTION Lock out."] * 2 == show(small_reasoner, capsys, one, two)


def test_a_joint_look_says_its_cautions_once(tmp_path):
    """On the shipped base two questions of one look under the cover do not repeat a line between them."""
    case = "case: call\ncircumstances: {reach: everything, hazardous_area: safe}\nfacts:\n"
    (tmp_path / "call.yaml").write_text(
        f"{case}  - {{observation: hunts_at_steady_command, state: present}}\n"
    )
    done = run_ask(tmp_path, "?\n" * 12, "--case", "call.yaml", rules=ROOT / "rules")
    questions = re.split(r"\(yes, no.*\) > ", done.stdout)
    looks = [re.search(r"^  look: .*", text, re.MULTILINE) for text in questions]
    again = [n for n in range(1, len(looks)) if looks[n] and looks[n - 1] and looks[n][0] == looks[n - 1][0]]

    assert again
    assert [] == [n for n in again if "CAUTION " in questions[n]]
    assert all("The cautions above hold." in questions[n] for n in again if "CAUTION " in questions[n - 1])


def test_words_and_a_log_in_a_pipe(tmp_path, knowledge):
    """Own words and a log typed in a pipe are in the saved case with their origins, and the title is the words'."""
    shutil.copy(ROOT / "cases" / "logs" / "v_12_before.csv", tmp_path)
    lines = "\n" * 7 + "stops at 65 degrees, does not open fully\n\nv_12_before.csv\n"
    done = run_ask(tmp_path, lines, "--save", "c.yaml", rules=ROOT / "rules")
    case = load_case(tmp_path / "c.yaml", knowledge)

    assert (0, "") == (done.returncode, done.stderr)
    assert "This was read out of your words." in done.stdout
    assert "v_12_before.csv decides" in done.stdout
    assert "Stops at 65 degrees, does not open fully" == case.title
    assert "log" in {fact.origin.value for fact in case.facts}
    # a line that was typed is as long as it is
    assert [] == [line for line in done.stdout.splitlines() if len(line) > 80 and ") > " not in line]


def test_a_case_is_found_beside_the_rules(tmp_path):
    """With `--rules DIR` an id means the case beside DIR first, then a shipped one."""
    shutil.copytree(SMALL, tmp_path / "rules")
    (tmp_path / "cases" / "limits").mkdir(parents=True)
    text = "case: limits/open_cam_early-01\ntitle: Ours\nfacts:\n  - {observation: stops_short, state: present}\n"
    (tmp_path / "cases" / "limits" / "open_cam_early-01.yaml").write_text(text)
    done = run_ask(tmp_path, "rank\n", "--case", "limits/open_cam_early-01", rules=tmp_path / "rules")

    assert (0, "") == (done.returncode, done.stderr)
    assert "What is it doing?" not in done.stdout


def test_a_case_goes_on_and_is_saved_in_place(tmp_path, small_base):
    """`--case` asks nothing again and keeps what comes in the same file."""
    run_ask(tmp_path, "1\nyes\n", "--save", "call.yaml")
    done = run_ask(tmp_path, "?\nquit\n", "--case", "call.yaml")
    case = load_case(tmp_path / "call.yaml", small_base)

    assert "stop short" not in done.stdout
    assert "What is it doing?" not in done.stdout
    assert ["present", "unknown"] == [fact.state for fact in case.facts]


def test_a_case_without_a_new_answer_is_left_as_it_is(tmp_path):
    """Looking at a case does not rewrite its file, comments and all."""
    text = "# my note\ncase: call\nfacts:\n  - {observation: stops_short, state: present}\n"
    (tmp_path / "call.yaml").write_text(text)
    run_ask(tmp_path, "rank\nquit\n", "--case", "call.yaml")

    assert text == (tmp_path / "call.yaml").read_text()


def test_a_file_that_is_there_is_not_overwritten(tmp_path):
    """`--save` onto another case is a usage fault before the first question."""
    (tmp_path / "other.yaml").write_text("case: other\n")
    done = run_ask(tmp_path, "1\nyes\n", "--save", "other.yaml")

    assert (2, "") == (done.returncode, done.stdout)
    assert "is there already" in " ".join(done.stderr.replace("│", " ").split())
    assert "case: other\n" == (tmp_path / "other.yaml").read_text()


def test_a_directory_that_is_not_there_is_told_at_once(tmp_path):
    """`--save` into nowhere is a usage fault before the first question."""
    done = run_ask(tmp_path, "1\nyes\n", "--save", "nowhere/call.yaml")

    assert (2, "") == (done.returncode, done.stdout)


def test_answers_survive_a_file_that_cannot_be_written(small_reasoner, tmp_path, monkeypatch, capsys):
    """Where the named file fails, the answers go to the temporary directory, which is named."""
    from diagnose.interfaces.moment import start_moment
    from diagnose.interfaces.session import Session

    monkeypatch.setattr("tempfile.gettempdir", lambda: str(tmp_path))
    lines = iter(["1", "yes", "quit"])
    session = Session(small_reasoner, start_moment(Case(case="call", title="A call")))
    Console(session, tmp_path / "gone" / "call.yaml", lambda _: next(lines)).run()
    said = capsys.readouterr().out

    assert "cannot be written" in said
    assert f"Saved: {tmp_path}/case-001.yaml" in said
    assert 1 == len(load_case(tmp_path / "case-001.yaml", small_reasoner.knowledge).facts)


def test_a_reader_that_has_gone_costs_no_answer(tmp_path, small_base):
    """Where the output's reader stops early, the answers are still written."""
    program = f"{sys.executable} -m diagnose --rules {SMALL} ask"
    # the reader takes the first question whole and is gone before the answer comes
    command = f"(printf '1\\n'; sleep 2; printf 'yes\\n?\\n') | {program} | head -10"
    subprocess.run(["bash", "-c", command], cwd=tmp_path, env=environment(), capture_output=True, check=True)

    assert "present" == load_case(tmp_path / "case-001.yaml", small_base).facts[0].state


def test_a_repair_closes_out_at_the_terminal(tmp_path, small_base):
    """Done and works leads through the close-out to a saved case with its root cause."""
    facts = "facts:\n  - {observation: stops_short, state: present}\n  - {observation: switch_made, state: present}\n"
    (tmp_path / "call.yaml").write_text(f"case: call\n{facts}")
    done = run_ask(tmp_path, "?\n" * 9, "--case", "call.yaml")
    asked = done.stdout.partition("Repair: ")[0].count("(yes, no")
    (tmp_path / "call.yaml").write_text(f"case: call\n{facts}")
    done = run_ask(tmp_path, "?\n" * asked + "1\nnone\n20\nin service\n", "--case", "call.yaml")
    case = load_case(tmp_path / "call.yaml", small_base)

    assert "The call is closed out." in done.stdout
    assert (20, "in service") == (case.closed.minutes, case.closed.left)
    assert case.closed.root_cause in small_base.causes
    assert "how did it go" not in case.closed.done.lower()


@pytest.mark.parametrize("words", ["hunting at mid travel", "5", "will not open"])
def test_no_line_is_wider_than_the_terminal(tmp_path, words):
    """On the shipped base nothing but a file name passes 80 columns."""
    lines = "\n" * 7 + f"{words}\nwhy\nrank\nyes\n?\nno\nhelp\n"
    done = run_ask(tmp_path, lines, "--save", "c.yaml", rules=ROOT / "rules")

    assert 0 == done.returncode, done.stderr
    assert [] == [line for line in done.stdout.splitlines() if len(line) > 80]


def test_ranking_is_one_line_a_cause(tmp_path):
    """`rank` gives one line a cause and says that they do not add up."""
    done = run_ask(tmp_path, "\n" * 7 + "\nrank\n", rules=ROOT / "rules")
    after = done.stdout.partition("> rank\n")[2].splitlines()

    assert all(re.match(r" *[<>]?\d+ %  ", line) for line in after[:6])
    assert "something not listed" in after[5]
    assert "no sum of 100 %" in " ".join(after[6:8])


class Terminal:
    """A session at an 80 by 24 terminal."""

    def __init__(self, folder: Path, *options: str, **more: str) -> None:
        """Start the program."""
        command = ["-m", "diagnose", "--rules", str(SMALL), "ask", *options]
        self.child = pexpect.spawn(
            sys.executable,
            command,
            cwd=str(folder),
            env=environment(**more),
            dimensions=(24, 80),
            timeout=30,
            encoding="utf-8",
        )
        self.said = ""

    def type(self, line: str, wait_for: str) -> None:
        """Wait for a text, then type a line."""
        self.wait(wait_for)
        self.child.sendline(line)

    def wait(self, text: str) -> None:
        """Wait for a text."""
        self.child.expect_exact(text)
        self.said += str(self.child.before) + str(self.child.after)

    def end(self) -> int:
        """Wait for the end and give the exit code."""
        self.child.expect(pexpect.EOF)
        self.said += str(self.child.before)
        self.child.close()
        return int(self.child.exitstatus)


def test_control_c_loses_no_answer(tmp_path, small_base):
    """Ctrl-C at a question keeps the answers, names the file and ends well."""
    terminal = Terminal(tmp_path)
    terminal.type("1", "Enter to skip) >")
    terminal.type("yes", "(yes, no or ?) >")
    terminal.wait("->")
    terminal.wait(") >")
    terminal.child.sendintr()

    assert 0 == terminal.end()
    assert "Saved: case-001.yaml" in terminal.said
    assert "Go on with: diagnose ask --case case-001.yaml" in terminal.said
    assert 1 == len(load_case(tmp_path / "case-001.yaml", small_base).facts)


def test_end_of_input_at_the_keyboard_keeps_the_answers(tmp_path):
    """Ctrl-D does what Ctrl-C does."""
    terminal = Terminal(tmp_path)
    terminal.type("1", "Enter to skip) >")
    terminal.type("yes", "(yes, no or ?) >")
    terminal.wait("->")
    terminal.wait(") >")
    terminal.child.sendeof()

    assert 0 == terminal.end()
    assert (tmp_path / "case-001.yaml").is_file()


def test_no_color_is_obeyed(tmp_path):
    """With NO_COLOR a refused answer has no colour; without it, it has."""
    found = {}
    for name, more in (("plain", {"NO_COLOR": "1"}), ("coloured", {})):
        folder = tmp_path / name
        folder.mkdir()
        terminal = Terminal(folder, **more)
        terminal.type("xyzzy", "Enter to skip) >")
        terminal.wait("say it another way.")
        terminal.type("quit", ") >")
        terminal.end()
        found[name] = bool(re.search(r"\x1b\[[0-9;]*3[0-7]m", terminal.said))

    assert {"plain": False, "coloured": True} == found


def test_a_keyboard_session_fits_the_terminal(tmp_path):
    """Nothing printed at a terminal of 80 columns is wider."""
    terminal = Terminal(tmp_path)
    terminal.type("1", "Enter to skip) >")
    terminal.type("rank", "(yes, no or ?) >")
    terminal.type("quit", "(yes, no or ?) >")
    terminal.end()
    # the line being typed is drawn over and over, so it is left out
    lines = [line for line in ESCAPES.sub("", terminal.said).splitlines() if ") >" not in line]

    assert len(lines) > 8
    assert [] == [line for line in lines if len(line) > 80]
