"""Every test runs without a screen, and leaves no thread behind."""

from __future__ import annotations

import os
import sys
import threading
import time
from collections.abc import Iterator

import pytest

os.environ["QT_QPA_PLATFORM"] = "offscreen"  # before anything loads Qt: the tests never reach for a screen
os.environ.pop("DUSKGRAIN_DEBUG", None)

from app.screen import require_qt
from colourcore.errors import InputError

try:
    require_qt(os.environ, sys.platform)
except InputError as error:
    sys.exit(f"The tests need Qt, though no screen. {error}")

_GRACE_SECONDS = 2.0


@pytest.fixture(autouse=True)
def no_thread_stays_behind() -> Iterator[None]:
    """A thread that the test started has ended when it ends."""
    before = set(threading.enumerate())
    yield
    deadline = time.monotonic() + _GRACE_SECONDS
    while (left := set(threading.enumerate()) - before) and time.monotonic() < deadline:
        time.sleep(0.01)
    if left:
        pytest.fail(f"threads left running: {', '.join(sorted(thread.name for thread in left))}")
