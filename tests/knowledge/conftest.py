"""Copies of the small rule base that a test may spoil."""

import shutil
from pathlib import Path

import pytest

from diagnose.errors import RulesFaulty
from diagnose.knowledge.loader import load_knowledge

FIXTURES = Path(__file__).parent.parent / "fixtures"


class SpoiledRules:
    """A copy of the small rule base, to be made faulty and loaded."""

    def __init__(self, directory: Path):
        self.directory = directory
        shutil.copytree(FIXTURES / "rules_good", directory, dirs_exist_ok=True)

    def lay_over(self, name: str):
        """Lay one folder of faulty files over the copy."""
        shutil.copytree(FIXTURES / "rules_bad" / name, self.directory, dirs_exist_ok=True)

    def replace(self, file: str, old: str, new: str):
        """Change one text of one file."""
        path = self.directory / file
        text = path.read_text("utf-8")
        assert old in text
        path.write_text(text.replace(old, new, 1), "utf-8")

    def faults(self):
        """Load and give the faults as (check, file, line)."""
        return [
            (fault.check, Path(fault.path).relative_to(self.directory).as_posix(), fault.line)
            for fault in self.error().faults
        ]

    def error(self):
        """Load and give the error that must come."""
        with pytest.raises(RulesFaulty) as caught:
            load_knowledge(self.directory)
        return caught.value


@pytest.fixture
def rules(tmp_path):
    """Give a copy of the small rule base."""
    return SpoiledRules(tmp_path / "rules")
