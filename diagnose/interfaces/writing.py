"""Files appear whole or not at all.

Takes a path and its content, gives nothing; imports errors only.
"""

from __future__ import annotations

import os
import tempfile
from pathlib import Path

from diagnose.errors import InputFaulty, fault_in_file


def write_whole(path: Path, content: str | bytes) -> None:
    """Write a file, text as UTF-8, under another name and rename it when it is whole.

    Raises:
        InputFaulty: The file cannot be written there.
    """
    name = None
    try:
        handle, name = tempfile.mkstemp(prefix=f".{path.name}.", dir=path.parent)
        with os.fdopen(handle, "wb") as stream:
            stream.write(content.encode() if isinstance(content, str) else content)
        Path(name).chmod(0o644)
        Path(name).replace(path)
    except OSError as error:
        if name:
            Path(name).unlink(missing_ok=True)
        reason = error.strerror or str(error)
        raise InputFaulty(
            [fault_in_file(path, "unwritable", f"cannot be written: {reason}", "name another file")]
        ) from None
