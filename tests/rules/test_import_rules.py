"""Imports run one way. Every contract of pyproject.toml is seen to fail on an import planted in a copy of the house."""

from __future__ import annotations

import shutil
import subprocess
import sys
import tomllib
from itertools import pairwise
from pathlib import Path
from typing import Any

import pytest

from app.views.place import PLACE_KEYS
from tests.rules.sources import HOUSE

LINT = "import sys; sys.path.insert(0, ''); from importlinter.cli import lint_imports_command; lint_imports_command()"

CONTRACTS: dict[str, dict[str, Any]] = {
    contract["id"]: contract
    for contract in tomllib.loads((HOUSE / "pyproject.toml").read_text("utf-8"))["tool"]["importlinter"]["contracts"]
}

PLANTED = {
    "rooms": ("colourcore/curve/planted.py", "import colourcore.job.model"),
    "window-on-top": ("colourcore/planted.py", "import app.wording"),
    "no-qt-below": ("colourcore/report/planted.py", "def f():\n    from PySide6 import QtCore"),
    "under-the-window": ("app/models/planted.py", "import app.views.theme"),
    "places-apart": ("app/views/photos.py", "import app.views.hours"),
}


@pytest.fixture
def copy(tmp_path: Path) -> Path:
    for room in ("app", "colourcore"):
        shutil.copytree(HOUSE / room, tmp_path / room, ignore=shutil.ignore_patterns("__pycache__", "fonts"))
    shutil.copy(HOUSE / "pyproject.toml", tmp_path)
    return tmp_path


def plant(house: Path, file: str, text: str) -> None:
    path = house / file
    kept = path.read_text("utf-8") if path.exists() else ""
    path.write_text(f"{kept}\n{text}\n", "utf-8")


def lint(house: Path) -> tuple[int, str]:
    command = [sys.executable, "-c", LINT, "--no-cache", "--no-logo"]
    run = subprocess.run(command, cwd=house, capture_output=True, text=True, encoding="utf-8", check=False)
    return run.returncode, " ".join((run.stdout + run.stderr).split())


def broken(said: str) -> set[str]:
    return {known for known, contract in CONTRACTS.items() if f"{contract['name']} BROKEN" in said}


def test_the_house_as_it_stands_keeps_every_contract(copy: Path) -> None:
    code, said = lint(copy)
    assert (code, broken(said)) == (0, set())
    assert f"Contracts: {len(CONTRACTS)} kept, 0 broken." in said


@pytest.mark.parametrize("contract", PLANTED)
def test_a_planted_import_breaks_its_contract(contract: str, copy: Path) -> None:
    plant(copy, *PLANTED[contract])
    code, said = lint(copy)
    assert code == 1
    assert contract in broken(said)


def test_every_contract_has_been_seen_to_break() -> None:
    assert set(PLANTED) == set(CONTRACTS)


def test_each_room_is_kept_from_the_one_above_it(copy: Path) -> None:
    steps = list(pairwise(CONTRACTS["rooms"]["layers"]))
    for upper, lower in steps:
        room = copy / "colourcore" / lower
        plant(
            copy,
            f"colourcore/{lower}/__init__.py" if room.is_dir() else f"colourcore/{lower}.py",
            f"import colourcore.{upper}",
        )
    _, said = lint(copy)
    for upper, lower in steps:
        assert f"colourcore.{lower} is not allowed to import colourcore.{upper}:" in said


@pytest.mark.parametrize(("package", "contract"), [("colourcore", "rooms"), ("app", "under-the-window")])
def test_a_new_room_must_be_given_its_place(package: str, contract: str, copy: Path) -> None:
    plant(copy, f"{package}/attic.py", "")
    code, said = lint(copy)
    assert code == 1
    assert contract in broken(said)
    assert f"not listed as layers: - {package}.attic" in said


def test_every_place_of_the_window_is_kept_apart_from_the_others() -> None:
    places = {f"app.views.{key}" for key in PLACE_KEYS if (HOUSE / "app" / "views" / f"{key}.py").exists()}
    assert set(CONTRACTS["places-apart"]["modules"]) == places
    assert len(places) > 1
