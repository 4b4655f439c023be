"""The command `show`: pages of an id on the terminal, and a picture of its surroundings in a file.

Takes an id, prints; may import everything above.
"""

from __future__ import annotations

import json
from pathlib import Path

from diagnose.explanation.page_gather import find_pages
from diagnose.explanation.pages import render_page
from diagnose.knowledge.base import Knowledge


def run_show(knowledge: Knowledge, name: str, graph: Path | None, *, as_json: bool) -> None:
    """Print the pages of an id, and draw its surroundings where a file is named.

    Args:
        knowledge: The loaded rule base.
        name: The id.
        graph: Picture file, its kind told by its ending; None for no picture.
        as_json: Print the page documents as one JSON list.

    Raises:
        UsageWrong: Nothing bears the id.
        InputFaulty: The picture cannot be made.
    """
    pages = find_pages(knowledge, name)
    if graph is not None:
        from diagnose.interfaces.picture import draw_surroundings

        draw_surroundings(knowledge, pages[0].id, graph)
    if as_json:
        print(json.dumps([page.model_dump(mode="json") for page in pages], indent=2))
    else:
        print("\n".join(render_page(page) for page in pages), end="")
