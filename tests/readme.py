"""What the README shares with the rest: the commands, found by the comment before each, and the cautions.

`python -m tests.readme tests` prints the command marked `<!-- command: tests -->`, for whoever runs it: so what is
checked is what the README says. `python -m tests.readme cautions` prints the cautions as they must stand there.
"""

from __future__ import annotations

import re
import sys
import textwrap
from pathlib import Path

from colourcore.run.cautions import pinned_cautions

README = Path(__file__).resolve().parents[1] / "README.md"
WIDTH = 116

_COMMAND = re.compile(r"<!-- command: (?P<name>[\w ]+) -->\n```\w+\n(?P<line>[^\n]+)\n```\n")


def commands(text: str) -> dict[str, str]:
    """Every marked command by its name; each is one line in a block of its own."""
    return {found["name"]: found["line"] for found in _COMMAND.finditer(text)}


def cautions() -> str:
    """The cautions of the page over the bench, as a list."""
    items = (f"* **{caution.lead}** {caution.pinned}" for caution in pinned_cautions())
    wrapped = (textwrap.fill(item, WIDTH, subsequent_indent="  ", break_on_hyphens=False) for item in items)
    return "".join(f"{item}\n" for item in wrapped)


if __name__ == "__main__":
    wanted = " ".join(sys.argv[1:])
    sys.stdout.write(cautions() if wanted == "cautions" else commands(README.read_text("utf-8"))[wanted] + "\n")
