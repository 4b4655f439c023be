"""Difficulties measured once: kept among this user's cached data, by case and rules.

Takes a tutor and a case, gives its Difficulty; may import everything above.
"""

from __future__ import annotations

import platformdirs
from pydantic import ValidationError

from diagnose.errors import InputFaulty
from diagnose.facts.case_file import Case
from diagnose.interfaces.writing import write_whole
from diagnose.training.difficulty import Difficulty, measure_difficulty, name_difficulty
from diagnose.training.scene import Tutor


def find_difficulty(tutor: Tutor, case: Case) -> Difficulty:
    """Give the difficulty of a case, measured now only where it was not measured under these rules before.

    Args:
        tutor: The rule base made ready.
        case: A case with a confirmed cause.

    Raises:
        InputFaulty: Nobody confirmed a cause.
    """
    folder = platformdirs.user_cache_path("diagnose", appauthor=False) / "difficulty"
    path = folder / f"{name_difficulty(tutor, case)}.json"
    try:
        return Difficulty.model_validate_json(path.read_bytes())
    except (OSError, ValidationError):
        difficulty = measure_difficulty(tutor, case)
    try:
        folder.mkdir(parents=True, exist_ok=True)
        write_whole(path, difficulty.model_dump_json())
    except (InputFaulty, OSError):
        # it is only measured again next time
        return difficulty
    return difficulty
