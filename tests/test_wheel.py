"""An installed wheel works in any folder, and carries the example with it."""

from __future__ import annotations

import os
import subprocess
import sys
import sysconfig
import venv
import zipfile
from pathlib import Path

import pytest

from tests.rules.sources import HOUSE

pytestmark = pytest.mark.slow


@pytest.fixture(scope="module")
def wheel(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The wheel, built from the checkout."""
    folder = tmp_path_factory.mktemp("wheel")
    quietly = ["--no-deps", "--no-build-isolation", "--no-index", "--quiet"]
    subprocess.run([sys.executable, "-m", "pip", "wheel", *quietly, "-w", folder, HOUSE], check=True)
    [built] = folder.glob("*.whl")
    return built


@pytest.fixture(scope="module")
def programs(wheel: Path, tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The programs of an environment that has the wheel, and beside it only what the tests' own environment has."""
    home = tmp_path_factory.mktemp("home") / "environment"
    venv.create(home, with_pip=False)
    paths = {"base": str(home), "platbase": str(home)}
    packages = Path(sysconfig.get_path("purelib", "venv", paths))
    (packages / "borrowed.pth").write_text(f"{sysconfig.get_path('purelib')}\n", "utf-8")
    python = Path(sysconfig.get_path("scripts", "venv", paths)) / Path(sys.executable).name
    install = ["-m", "pip", "--python", python, "install", "--no-deps", "--no-index", "--quiet", wheel]
    subprocess.run([sys.executable, *install], check=True)
    return python.parent


def test_the_wheel_holds_what_the_program_needs(wheel: Path) -> None:
    names = set(zipfile.ZipFile(wheel).namelist())
    assert {"app/main.py", "app/py.typed", "colourcore/py.typed"} <= names
    assert {"colourcore/sample_images/README.md", "colourcore/sample_images/music_chest.csv"} <= names
    assert any(name.startswith("colourcore/report/fonts/") and name.endswith(".ttf") for name in names)
    assert "colourcore/report/fonts/LICENSE.md" in names
    assert not any(name.startswith("tests/") for name in names)


def test_the_example_runs_from_an_installed_wheel_in_another_folder(programs: Path, tmp_path: Path) -> None:
    hidden = {"DISPLAY", "WAYLAND_DISPLAY", "QT_QPA_PLATFORM", "PYTHONPATH"}
    environment = {name: value for name, value in os.environ.items() if name not in hidden}
    where = subprocess.run(
        [programs / Path(sys.executable).name, "-c", "import colourcore; print(colourcore.__file__)"],
        cwd=tmp_path, env=environment, capture_output=True, text=True, check=True,
    )  # fmt: skip
    assert Path(where.stdout.strip()).is_relative_to(programs.parent)
    ended = subprocess.run(
        [programs / "duskgrain", "example"],
        cwd=tmp_path, env=environment, capture_output=True, text=True, encoding="utf-8", check=False,
    )  # fmt: skip
    assert (ended.returncode, ended.stderr) == (0, "There is no screen here, so the window stays closed.\n")
    [report] = tmp_path.iterdir()
    assert str(report) in ended.stdout
    assert report.read_bytes().startswith(b"%PDF")
