"""The house keeps its laws, and each law is seen to catch what it forbids."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

import pytest

from tests.rules import laws
from tests.rules.sources import HOUSE

Law = Callable[[Path], list[str]]

LAWS: list[Law] = [
    laws.disk_and_clock_among_numbers,
    laws.excuses_without_reason,
    laws.machine_in_the_files,
    laws.outgrown,
    laws.private_names_abroad,
    laws.promises,
    laws.rooms_without_init,
    laws.threads_outside_their_room,
    laws.widgets_among_models,
    laws.world_that_knows_the_program,
]

CURVE, VIEW, WORLD = "colourcore/curve/planted.py", "app/views/planted.py", "tests/simulation/wood.py"

PLANTED: list[tuple[Law, str, str]] = [
    (laws.disk_and_clock_among_numbers, CURVE, "text = open('hours.csv').read()"),
    (laws.disk_and_clock_among_numbers, CURVE, "from pathlib import Path"),
    (laws.disk_and_clock_among_numbers, CURVE, "import time"),
    (laws.disk_and_clock_among_numbers, CURVE, "from datetime import datetime\nnow = datetime.now()"),
    (laws.disk_and_clock_among_numbers, "colourcore/run/planted.py", "import datetime\nnow = datetime.datetime.now()"),
    (laws.disk_and_clock_among_numbers, CURVE, "import numpy as np\nrng = np.random.default_rng()"),
    (laws.disk_and_clock_among_numbers, CURVE, "import numpy as np\nx = np.random.normal(0, 1)"),
    (laws.disk_and_clock_among_numbers, "colourcore/image/planted.py", "import cv2\npixels = cv2.imread('photo.jpg')"),
    (laws.disk_and_clock_among_numbers, "colourcore/image/planted.py", "def f(photo): return photo.read_bytes()"),
    (laws.disk_and_clock_among_numbers, "colourcore/image/planted.py", "def f(photo): return Image.open(photo)"),
    (laws.disk_and_clock_among_numbers, "colourcore/colour/planted.py", "import numpy as np\nx = np.load('table.npy')"),
    (laws.excuses_without_reason, VIEW, "import os  # noqa" + ": F401"),
    (laws.excuses_without_reason, CURVE, "x = 1  # type" + ": ignore[assignment]"),
    (laws.machine_in_the_files, "README.md", "python -m pip install --index-url https://packages.example/ ."),
    (laws.machine_in_the_files, "pyproject.toml", 'url = "https://packages.example/simple"'),
    (laws.machine_in_the_files, "docs/planted.md", "The photos lie in /home/somebody/photos."),
    (laws.machine_in_the_files, "app/planted.py", r"PHOTOS = 'C:\Users\somebody'"),
    (laws.machine_in_the_files, "docs/planted.md", f"cd {HOUSE}"),
    (laws.outgrown, CURVE, "x = 1\n" * (laws.MODULE_LINES + 1)),
    (laws.outgrown, CURVE, "def f():\n" + "    x = 1\n" * laws.FUNCTION_LINES),
    (laws.outgrown, VIEW, "class Everything:\n" + "".join(f"    def f{n}(self): ...\n" for n in range(16))),
    (laws.private_names_abroad, CURVE, "from colourcore.curve.fit import _weights"),
    (laws.private_names_abroad, "tests/app/test_planted.py", "from colourcore import cli\ncli._example(None)"),
    (laws.promises, "colourcore/run/planted.py", "TEXT = 'After a day the room is safe.'"),
    (laws.promises, "README.md", "Half a litre is quite safe."),
    (laws.rooms_without_init, "colourcore/cellar/planted.py", "x = 1"),
    (laws.threads_outside_their_room, VIEW, "import threading"),
    (laws.threads_outside_their_room, "colourcore/pipeline.py", "from concurrent.futures import ThreadPoolExecutor"),
    (laws.threads_outside_their_room, VIEW, "from PySide6.QtCore import QThread"),
    (laws.threads_outside_their_room, VIEW, "from PySide6 import QtCore\npool = QtCore.QThreadPool.globalInstance()"),
    (laws.widgets_among_models, "app/models/planted.py", "from PySide6.QtWidgets import QWidget"),
    (laws.widgets_among_models, "app/models/planted.py", "from app.views.theme import Theme"),
    (laws.world_that_knows_the_program, WORLD, "def f():\n    from colourcore.colour.spaces import srgb_encode"),
]


@pytest.mark.parametrize("law", LAWS, ids=lambda law: law.__name__)
def test_the_house_keeps_the_law(law: Law) -> None:
    assert law(HOUSE) == []


@pytest.mark.parametrize(("law", "file", "text"), PLANTED, ids=lambda part: getattr(part, "__name__", None))
def test_a_planted_violation_is_caught(law: Law, file: str, text: str, tmp_path: Path) -> None:
    planted = tmp_path / file
    planted.parent.mkdir(parents=True, exist_ok=True)
    planted.write_text(text + "\n", "utf-8")
    caught = law(tmp_path)
    assert len(caught) == 1
    assert caught[0].startswith((file, str(Path(file).parent)))


def test_every_law_has_been_seen_to_catch_something() -> None:
    assert {law for law, _, _ in PLANTED} == set(LAWS)


def test_bytes_in_hand_may_be_opened(tmp_path: Path) -> None:
    room = tmp_path / "colourcore" / "image" / "planted.py"
    room.parent.mkdir(parents=True)
    room.write_text("from pathlib import PurePath\npicture = Image.open(io.BytesIO(data))\n", "utf-8")
    assert laws.disk_and_clock_among_numbers(tmp_path) == []


def test_threads_may_start_in_their_own_room(tmp_path: Path) -> None:
    room = tmp_path / laws.ROOM_OF_THREADS
    room.parent.mkdir(parents=True, exist_ok=True)
    room.write_text("import threading\n", "utf-8")
    assert laws.threads_outside_their_room(tmp_path) == []
