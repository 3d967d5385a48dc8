"""The house's files as the rules see them: where they lie, their text, and their syntax trees."""

from __future__ import annotations

import ast
import subprocess
from collections.abc import Iterator
from functools import cache
from pathlib import Path

HOUSE = Path(__file__).resolve().parents[2]
_NOT_OURS = {
    ".git",
    ".venv",
    "build",
    "dist",
    "__pycache__",
    ".pytest_cache",
    ".ruff_cache",
    ".mypy_cache",
    ".hypothesis",
}


def python_files(root: Path, *rooms: str) -> list[Path]:
    """Every Python file of these rooms, sorted, as paths from the root."""
    found = (path for room in rooms for path in (root / room).rglob("*.py"))
    return sorted(path.relative_to(root) for path in found if "__pycache__" not in path.parts)


@cache
def syntax(root: Path, path: Path) -> ast.Module:
    """The syntax tree of one file."""
    return ast.parse((root / path).read_text("utf-8"), str(path))


def kept_files(root: Path) -> list[Path]:
    """The files that are or may come under version control; where there is none, all that are not made by tools."""
    if (root / ".git").exists():
        command = ["git", "ls-files", "-co", "--exclude-standard", "-z"]
        listed = subprocess.run(command, cwd=root, capture_output=True, text=True, check=True).stdout
        return sorted(Path(name) for name in listed.split("\0") if name and (root / name).is_file())
    every = (path.relative_to(root) for path in root.rglob("*") if path.is_file())
    return sorted(path for path in every if not _NOT_OURS & set(path.parts))


def imported(tree: ast.AST) -> Iterator[tuple[int, str]]:
    """The line and full name of everything that is imported, wherever in the file."""
    for node in ast.walk(tree):
        if isinstance(node, ast.Import):
            yield from ((node.lineno, alias.name) for alias in node.names)
        elif isinstance(node, ast.ImportFrom) and node.module:
            yield from ((node.lineno, f"{node.module}.{alias.name}") for alias in node.names)


def used_names(tree: ast.AST) -> Iterator[tuple[int, str]]:
    """The line and spelling of every plain or dotted name in use: `open`, `datetime.now`, `().read_bytes`."""
    for node in ast.walk(tree):
        if isinstance(node, ast.Name | ast.Attribute):
            yield node.lineno, _spelled(node)


def _spelled(node: ast.expr) -> str:
    if isinstance(node, ast.Attribute):
        return f"{_spelled(node.value)}.{node.attr}"
    return node.id if isinstance(node, ast.Name) else "()"
