"""The README keeps its word: every command it shows prints what it shows."""

import re
import subprocess
import sys
from pathlib import Path

import pytest

README = Path(__file__).parent.parent / "README.md"
# Every edit of the rules changes their digest; what it stands for is shown all the same.
DIGEST = re.compile(r"rules [0-9a-f]{12}")
BLOCK = re.compile(r"```console\n\$ (?P<command>[^\n]+)\n(?P<output>.*?)```", re.DOTALL)


def run_command(command: str, folder: Path) -> str:
    """Run one shown command with `diagnose` meaning this checkout."""
    ours = command.replace("diagnose ", f"{sys.executable} -m diagnose ", 1)
    shell = ["bash", "-o", "pipefail", "-c", ours]
    done = subprocess.run(shell, cwd=folder, capture_output=True, text=True, check=False)

    # 5 tells that some tickets were rejected, which one example shows
    assert done.returncode in {0, 5}, (command, done.stderr)

    return DIGEST.sub("rules 0123456789ab", done.stdout)


def test_every_shown_command_prints_what_the_readme_shows(tmp_path, request):
    """Each console block of the README is what its command prints now."""
    text = README.read_text(encoding="utf-8")
    blocks = list(BLOCK.finditer(text))
    outputs = {block["command"]: run_command(block["command"], tmp_path) for block in blocks}
    if request.config.getoption("--rewrite-golden"):
        fresh = BLOCK.sub(lambda b: f"```console\n$ {b['command']}\n{outputs[b['command']]}```", text)
        README.write_text(fresh, encoding="utf-8")
        pytest.skip("rewritten")

    assert {block["command"]: block["output"] for block in blocks} == outputs


def test_every_command_of_the_program_is_in_the_readme():
    """No command of the program is missing from its manual."""
    from diagnose.interfaces.cli import app

    names = {command.name for command in app.registered_commands}

    assert set() == {name for name in names if f"diagnose {name}" not in README.read_text(encoding="utf-8")}
