"""The house's laws that no tool knows. Each takes the house's root and returns what breaks it, place by place."""

from __future__ import annotations

import ast
import re
import sys
from pathlib import Path

from tests.rules.sources import HOUSE, imported, kept_files, python_files, syntax, used_names

NUMERIC_ROOMS = ("colourcore/colour", "colourcore/image", "colourcore/curve", "colourcore/run")
ROOM_OF_THREADS = Path("app/background.py")
WORLD_FILES = ("bench", "camera", "chest", "example", "layout", "lettering", "noise", "scene", "spectra", "wood")
MODULE_LINES, FUNCTION_LINES, PUBLIC_METHODS = 400, 60, 15

_STARTS_THREADS = {"threading", "_thread", "concurrent", "multiprocessing", "asyncio"}
_QT_THREADS = {"QThread", "QThreadPool", "QRunnable", "QtConcurrent"}
_DISK_AND_CLOCK_MODULES = {
    "fileinput", "glob", "os", "pathlib", "random", "secrets", "shutil", "socket", "sqlite3", "subprocess", "sys",
    "tempfile", "time", "urllib",
}  # fmt: skip
_DISK_AND_CLOCK_CALLS = re.compile(
    r"^(io\.)?open$"
    r"|\.(fromfile|tofile|loadtxt|savetxt|genfromtxt|memmap)$"
    r"|\.(read|write)_(text|bytes)$"
    r"|^(np|numpy)\.(load|save|savez)$|^(np|numpy)\.random\.(?!Generator$|default_rng$|SeedSequence$)\w+$"
)
_ASKS_THE_CLOCK = re.compile(r"\.(now|today|utcnow|localtime)$")
_MAY_READ_BYTES = re.compile(r"\.(open|imread|imwrite)$")
_TOUCHES_NOTHING = ("pathlib.PurePath", "pathlib.PurePosixPath", "pathlib.PureWindowsPath")
_REASONLESS = re.compile(r"#\s*(noqa|type:\s*ignore|pragma:\s*no cover)\s*(\[[^\]]*\]|:\s*[A-Z0-9, ]+)?\s*$")
_PROMISE = re.compile(r"\bsafe(ly)?\b", re.IGNORECASE)
_INDEX = re.compile(r"--(extra-)?index-url|\bindex[-_]url\b|--trusted-host|--find-links|https?://[^\s)>\"']*/simple\b")
_MACHINE_PATH = re.compile(
    r"(?<![\w.:/~*?)\]}-])/(home|Users|root|opt|tmp|srv|mnt|media|usr|var|work)/[\w.-]|\b[A-Z]:\\(Users|Windows)"
)


def rooms_without_init(root: Path) -> list[str]:
    """Every folder that holds Python is a package: an import rule sees nothing of one that is not."""
    folders = {path.parent for path in python_files(root, "app", "colourcore", "tests")}
    return [
        f"{folder} has no __init__.py" for folder in sorted(folders) if not (root / folder / "__init__.py").exists()
    ]


def threads_outside_their_room(root: Path) -> list[str]:
    """One module starts threads."""
    found = []
    for path in python_files(root, "app", "colourcore"):
        if path == ROOM_OF_THREADS:
            continue
        tree = syntax(root, path)
        for line, name in imported(tree):
            if name.split(".")[0] in _STARTS_THREADS or _QT_THREADS & set(name.split(".")):
                found.append(f"{path}:{line} imports {name}")
        for line, name in used_names(tree):
            if "." in name and name.rsplit(".", 1)[1] in _QT_THREADS:
                found.append(f"{path}:{line} uses {name}")
    return found


def disk_and_clock_among_numbers(root: Path) -> list[str]:
    """Whatever computes is handed its bytes, its time and its seed."""
    found = []
    for path in python_files(root, *NUMERIC_ROOMS):
        tree = syntax(root, path)
        for line, name in imported(tree):
            if name.split(".")[0] in _DISK_AND_CLOCK_MODULES and name not in _TOUCHES_NOTHING:
                found.append(f"{path}:{line} imports {name}")
        for line, name in used_names(tree):
            if _DISK_AND_CLOCK_CALLS.search(name):
                found.append(f"{path}:{line} uses {name}")
        for node in ast.walk(tree):
            if isinstance(node, ast.Call):
                call, given = ast.unparse(node.func), [ast.unparse(argument) for argument in node.args]
                if call.endswith("default_rng") and not given:
                    found.append(f"{path}:{node.lineno} draws a random seed of its own")
                if _ASKS_THE_CLOCK.search(call):
                    found.append(f"{path}:{node.lineno} asks the clock: {call}")
                if _MAY_READ_BYTES.search(call) and not any("BytesIO(" in text for text in given):
                    found.append(f"{path}:{node.lineno} opens what is not bytes in hand: {call}")
    return found


def world_that_knows_the_program(root: Path) -> list[str]:
    """The simulated world (in `tests/simulation`) is made without the code that is tried on it."""
    found = []
    for stem in WORLD_FILES:
        path = Path("tests/simulation") / f"{stem}.py"
        for line, name in imported(syntax(root, path)) if (root / path).exists() else ():
            if name.split(".")[0] in {"colourcore", "app"}:
                found.append(f"{path}:{line} imports {name}")
    return found


def private_names_abroad(root: Path) -> list[str]:
    """A name that begins with an underscore stays in its module."""
    found = []
    for path in python_files(root, "app", "colourcore", "tests"):
        tree = syntax(root, path)
        modules = set()
        for node in ast.walk(tree):
            if isinstance(node, ast.Import):
                names = {(alias.asname or alias.name).split(".")[0] for alias in node.names}
                modules |= names - set(sys.stdlib_module_names)  # os._exit is the documented name
            elif isinstance(node, ast.ImportFrom) and (node.module or "").split(".")[0] in {
                "app",
                "colourcore",
                "tests",
            }:
                modules |= {alias.asname or alias.name for alias in node.names}
                found += [
                    f"{path}:{node.lineno} imports {node.module}.{alias.name}"
                    for alias in node.names
                    if alias.name.startswith("_")
                ]
        for node in ast.walk(tree):
            if isinstance(node, ast.Attribute) and re.match(r"_[a-z]", node.attr):
                name = ast.unparse(node)
                if name.split(".")[0] in modules:
                    found.append(f"{path}:{node.lineno} uses {name}")
    return found


def machine_in_the_files(root: Path) -> list[str]:
    """No file knows an index address, or where it lies on somebody's machine."""
    here = {str(HOUSE), str(Path.home())} - {"/"}
    found = []
    for path in kept_files(root):
        try:
            text = (root / path).read_text("utf-8")
        except UnicodeDecodeError:
            continue
        for number, line in enumerate(text.splitlines(), 1):
            if path.parts[:2] == ("tests", "rules"):
                continue
            if _INDEX.search(line):
                found.append(f"{path}:{number} names an index")
            if (_MACHINE_PATH.search(line) and not line.startswith("#!")) or any(place in line for place in here):
                found.append(f"{path}:{number} names a place on a machine")
    return found


def excuses_without_reason(root: Path) -> list[str]:
    """Whoever silences a check says why, on the same line."""
    return [
        f"{path}:{number} gives no reason"
        for path in python_files(root, "app", "colourcore", "tests")
        for number, line in enumerate((root / path).read_text("utf-8").splitlines(), 1)
        if _REASONLESS.search(line)
    ]


def widgets_among_models(root: Path) -> list[str]:
    """What the window's models say can be asked without a window."""
    above = ("PySide6.QtWidgets", "app.dialogs", "app.document", "app.main", "app.session", "app.views")
    return [
        f"{path}:{line} imports {name}"
        for path in python_files(root, "app/models")
        for line, name in imported(syntax(root, path))
        if name.startswith(above)
    ]


def promises(root: Path) -> list[str]:
    """No text that a person reads calls anything safe: that is not ours to say."""
    found = []
    for path in python_files(root, "app", "colourcore"):
        tree = syntax(root, path)
        shown = (node for node in ast.walk(tree) if isinstance(node, ast.Constant) and isinstance(node.value, str))
        told = {id(node.value) for node in ast.walk(tree) if isinstance(node, ast.Expr)}  # docstrings: read by us alone
        found += [
            f"{path}:{node.lineno} promises"
            for node in shown
            if id(node) not in told and _PROMISE.search(str(node.value))
        ]
    for path in kept_files(root):
        if path.suffix in {".md", ".csv"}:
            lines = (root / path).read_text("utf-8").splitlines()
            found += [f"{path}:{number} promises" for number, line in enumerate(lines, 1) if _PROMISE.search(line)]
    return found


def outgrown(root: Path) -> list[str]:
    """No module, function or class is larger than can be read at one go."""
    found = []
    for path in python_files(root, "app", "colourcore"):
        text = (root / path).read_text("utf-8")
        if (lines := text.count("\n")) > MODULE_LINES:
            found.append(f"{path} has {lines} lines")
        for node in ast.walk(ast.parse(text)):
            if isinstance(node, ast.FunctionDef):
                size = (node.end_lineno or node.lineno) - node.lineno + 1 - (ast.get_docstring(node) or "").count("\n")
                if size > FUNCTION_LINES:
                    found.append(f"{path}:{node.lineno} {node.name} has {size} lines")
            elif isinstance(node, ast.ClassDef):
                methods = [part.name for part in node.body if isinstance(part, ast.FunctionDef)]
                public = sum(not name.startswith("_") for name in methods)
                if public > PUBLIC_METHODS:
                    found.append(f"{path}:{node.lineno} {node.name} has {public} public methods")
    return found
