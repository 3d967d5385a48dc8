"""The README's commands, found by the comment that stands before each: `<!-- command: tests -->` and its code block.

`python -m tests.readme tests` prints one, for whoever runs it: so what is checked is what the README says.
"""

from __future__ import annotations

import re
import sys
from pathlib import Path

README = Path(__file__).resolve().parents[1] / "README.md"

_COMMAND = re.compile(r"<!-- command: (?P<name>[\w ]+) -->\n```\w+\n(?P<line>[^\n]+)\n```\n")


def commands(text: str) -> dict[str, str]:
    """Every marked command by its name; each is one line in a block of its own."""
    return {found["name"]: found["line"] for found in _COMMAND.finditer(text)}


if __name__ == "__main__":
    print(commands(README.read_text("utf-8"))[" ".join(sys.argv[1:])])
