"""A new case file to fill in, named as shipped cases are.

Takes a path, writes the skeleton; may import everything above, heavy layers only inside the functions.
"""

from __future__ import annotations

import re
import sys
from pathlib import Path

from diagnose.errors import UsageWrong

# The id of a case, as a case file must have it.
_ID = re.compile(r"^[a-z][a-z0-9_/-]{0,99}$")


def write_new_case(path: Path) -> None:
    """Write the skeleton of a case; the confirmed cause is taken from a name such as limits/open_cam_early-03.yaml.

    Raises:
        UsageWrong: There is such a file already, or its name is none for a case.
        InputFaulty: It cannot be written.
    """
    from diagnose.interfaces.writing import write_whole
    from diagnose.knowledge.loader import load_knowledge
    from diagnose.knowledge.shipped import rules_directory
    from diagnose.training.skeleton import write_skeleton

    if path.exists():
        raise UsageWrong(f"{path} is there already; name another file")
    absolute = path.absolute()
    name = f"{absolute.parent.name}/{absolute.stem}"
    if path.suffix != ".yaml" or not _ID.match(absolute.stem):
        raise UsageWrong(f"{path} is no name for a case; name it as part/cause-03.yaml, in small letters")
    if not _ID.match(name):
        name = absolute.stem
    write_whole(path, write_skeleton(load_knowledge(rules_directory()), name))
    print(f"Written: {path}\nFill it in, then: diagnose check {path}", file=sys.stderr)
