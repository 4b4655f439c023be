"""A page as PDF, printed by Chromium where it is installed.

Takes HTML and a path, writes a file; may import everything above.
"""

from __future__ import annotations

import os
import shutil
import subprocess
import tempfile
from pathlib import Path

from diagnose.errors import InputFaulty, fault_in_file
from diagnose.interfaces.writing import write_whole

BROWSERS = ("chromium", "chromium-browser")
_SECONDS = 120


def write_pdf(page: str, path: Path) -> None:
    """Print a page into a PDF file.

    Args:
        page: A self-contained HTML document.
        path: The file.

    Raises:
        InputFaulty: Chromium is not installed, prints nothing, or the file cannot be written.
    """
    browser = next((found for name in BROWSERS if (found := shutil.which(name))), None)
    if browser is None:
        raise _refuse(path, "a PDF needs Chromium, which is not installed", "use --html and print that page")
    with tempfile.TemporaryDirectory() as folder:
        source, target = Path(folder) / "page.html", Path(folder) / "page.pdf"
        source.write_text(page, encoding="utf-8")
        _print(browser, source, target, folder)
        if not target.is_file():
            raise _refuse(path, "Chromium printed nothing", "use --html and print that page")
        write_whole(path, target.read_bytes())


def _print(browser: str, source: Path, target: Path, folder: str) -> None:
    # the page is our own and holds no script; as root Chromium does not start inside its own sandbox
    root = ["--no-sandbox"] if hasattr(os, "geteuid") and os.geteuid() == 0 else []
    command = [
        browser,
        "--headless",
        *root,
        "--disable-gpu",
        f"--user-data-dir={folder}/profile",
        "--no-pdf-header-footer",
        f"--print-to-pdf={target}",
        source.as_uri(),
    ]
    try:
        subprocess.run(command, capture_output=True, timeout=_SECONDS, check=False)  # noqa: S603 - our own arguments
    except (OSError, subprocess.TimeoutExpired):
        return  # told by the missing file


def _refuse(path: Path, wrong: str, cure: str) -> InputFaulty:
    return InputFaulty([fault_in_file(path, "pdf", wrong, cure)])
