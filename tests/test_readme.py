"""The README keeps its word: every command it shows prints what it shows."""

import os
import re
import subprocess
import sys
from concurrent.futures import ThreadPoolExecutor
from pathlib import Path

import pytest

ROOT = Path(__file__).parent.parent
README = ROOT / "README.md"
# Every edit of the rules changes their digest; what it stands for is shown all the same.
DIGEST = re.compile(r"rules [0-9a-f]{12}")
# a block marked `measured` takes a minute or more: it is rewritten with the others, and not compared
BLOCK = re.compile(r"```console(?P<mark> measured)?\n\$ (?P<command>[^\n]+)\n(?P<output>.*?)```", re.DOTALL)


def make_place(folder: Path) -> None:
    """Make a folder look like the top of a clone, with `diagnose` meaning this checkout."""
    (folder / "cases").symlink_to(ROOT / "cases")
    program = folder / "bin" / "diagnose"
    program.parent.mkdir()
    program.write_text(f'#!/bin/sh\nexec "{sys.executable}" -m diagnose "$@"\n', encoding="utf-8")
    program.chmod(0o755)


def run_command(command: str, folder: Path) -> str:
    """Run one shown command and give what it prints."""
    path = os.pathsep.join((str(folder / "bin"), str(Path(sys.executable).parent), os.environ["PATH"]))
    there = os.environ | {"PATH": path, "PYTHONPATH": str(ROOT)}
    shell = ["bash", "-o", "pipefail", "-c", command]
    done = subprocess.run(shell, cwd=folder, capture_output=True, text=True, check=False, env=there)

    # 5 tells that some tickets were rejected, which one example shows
    assert done.returncode in {0, 5}, (command, done.stderr)

    return DIGEST.sub("rules 0123456789ab", done.stdout)


def rewrite(block: re.Match[str], folder: Path) -> str:
    """Give a block with what its command prints now."""
    mark = block["mark"] or ""
    printed = run_command(block["command"], ROOT if mark else folder)
    return f"```console{mark}\n$ {block['command']}\n{printed}```"


def test_every_shown_command_prints_what_the_readme_shows(tmp_path, request):
    """Each console block of the README is what its command prints now."""
    text = README.read_text(encoding="utf-8")
    make_place(tmp_path)
    if request.config.getoption("--rewrite-golden"):
        README.write_text(BLOCK.sub(lambda block: rewrite(block, tmp_path), text), encoding="utf-8")
        pytest.skip("rewritten")
    shown = {block["command"]: block["output"] for block in BLOCK.finditer(text) if not block["mark"]}
    with ThreadPoolExecutor(max_workers=2) as pool:
        printed = list(pool.map(lambda command: run_command(command, tmp_path), shown))

    assert shown == dict(zip(shown, printed, strict=True))


def test_every_command_of_the_program_is_in_the_readme():
    """No command of the program is missing from its manual."""
    from diagnose.interfaces.cli import app

    groups = {group.name: group.typer_instance for group in app.registered_groups}
    within = {
        f"{group} {command.name}" for group, typer in groups.items() for command in typer.registered_commands
    }
    names = {command.name for command in app.registered_commands} | within

    assert set() == {name for name in names if f"diagnose {name}" not in README.read_text(encoding="utf-8")}


def test_every_benchmark_is_in_the_developers_manual():
    """No benchmark is missing from the table of checks."""
    manual = (ROOT / "DEVELOPERS.md").read_text(encoding="utf-8")
    names = {path.stem for path in (ROOT / "tests" / "benchmarks").glob("*.py")}

    assert set() == {name for name in names if f"`{name}`" not in manual}
