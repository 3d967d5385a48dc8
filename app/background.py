"""The only module that starts threads: work that must not hold the window up.

Each piece of work runs in a lane. A newer piece in the same lane takes the older one's place: the older is told to
stop, and its answer, should it still come, is dropped. Work carries its own input, and what comes back is a value:
the answer, or the problem as a value; nothing is raised across the threads.
"""

from __future__ import annotations

import itertools
import threading
from collections.abc import Callable
from concurrent.futures import Future, ThreadPoolExecutor, wait
from dataclasses import dataclass
from typing import Any

from PySide6.QtCore import QObject, Qt, Signal

from colourcore.errors import Cancelled, InputError

__all__ = ["Answered", "Failed", "Outcome", "Progress", "Stopped", "Tasks", "Ticket"]


@dataclass(frozen=True, slots=True, kw_only=True)
class Progress:
    """How far a piece of work is: `done` of `total` steps, and what comes next in the user's words."""

    lane: str
    done: int
    total: int
    what: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Answered:
    """The work ended; `value` is what it returned."""

    value: Any


@dataclass(frozen=True, slots=True, kw_only=True)
class Failed:
    """The work met a problem of the user's world: `problem` is shown as it stands."""

    problem: InputError


@dataclass(frozen=True, slots=True, kw_only=True)
class Stopped:
    """The user stopped the work."""


Outcome = Answered | Failed | Stopped


class Ticket:
    """What a piece of work carries: its number, whether it should stop, and how to say how far it is."""

    def __init__(self, lane: str, number: int, say: Callable[[Ticket, Progress], None]) -> None:
        self.lane = lane
        self.number = number
        self._say = say
        self._stop = threading.Event()

    @property
    def cancelled(self) -> bool:
        """Whether the work is wanted no more."""
        return self._stop.is_set()

    def cancel(self) -> None:
        """Ask the work to stop; it does at its next `progress` or `check`."""
        self._stop.set()

    def check(self) -> None:
        """Raise `Cancelled` where the work is wanted no more."""
        if self._stop.is_set():
            raise Cancelled

    def progress(self, done: int, total: int, what: str) -> None:
        """Say how far the work is; raises `Cancelled` where it is wanted no more. Fits `pipeline.Progress`."""
        self.check()
        self._say(self, Progress(lane=self.lane, done=done, total=total, what=what))


class _Ended:
    """How a piece of work ended, on its way back to the window's thread; `bug` is an error of ours."""

    __slots__ = ("bug", "outcome", "ticket")

    def __init__(self, ticket: Ticket, outcome: Outcome | None, bug: Exception | None) -> None:
        self.ticket, self.outcome, self.bug = ticket, outcome, bug


class Tasks(QObject):
    """The work under way. `progressed` carries a `Progress`, `busy_changed` the lane's name as it starts or ends."""

    progressed = Signal(object)
    busy_changed = Signal(str)
    _said = Signal(object, object)
    _ended = Signal(object)

    def __init__(self, parent: QObject | None = None, *, workers: int = 2) -> None:
        super().__init__(parent)
        self._pool = ThreadPoolExecutor(max_workers=workers, thread_name_prefix="duskgrain")
        self._numbers = itertools.count(1)
        self._running: dict[str, tuple[Ticket, Callable[[Outcome], None]]] = {}
        self._futures: set[Future[None]] = set()
        self._closed = False
        self._said.connect(self._pass_on, Qt.ConnectionType.QueuedConnection)
        self._ended.connect(self._deliver, Qt.ConnectionType.QueuedConnection)

    def start(self, lane: str, work: Callable[[Ticket], Any], done: Callable[[Outcome], None]) -> Ticket:
        """Run `work` in the background, in place of what the lane was doing; `done` gets the outcome on this thread.

        `work` must touch no widget and no value that can change under it.
        """
        self.cancel(lane, quietly=True)
        ticket = Ticket(lane, next(self._numbers), self._said.emit)
        self._running[lane] = (ticket, done)
        future = self._pool.submit(self._run, ticket, work)
        self._futures.add(future)
        future.add_done_callback(self._futures.discard)
        self.busy_changed.emit(lane)
        return ticket

    def busy(self, lane: str) -> bool:
        """Whether the lane has work under way."""
        return lane in self._running

    def any_busy(self) -> bool:
        """Whether any work is under way."""
        return bool(self._running)

    def cancel(self, lane: str, *, quietly: bool = False) -> None:
        """Stop what the lane is doing. Its `done` is told `Stopped`, unless `quietly`."""
        running = self._running.pop(lane, None)
        if running is None:
            return
        ticket, done = running
        ticket.cancel()
        if not quietly:
            self.busy_changed.emit(lane)
            done(Stopped())

    def close(self) -> None:
        """Stop everything and wait for the threads to end; nothing is told any more."""
        self._closed = True
        for ticket, _ in self._running.values():
            ticket.cancel()
        self._running.clear()
        wait(tuple(self._futures))
        self._pool.shutdown(wait=True, cancel_futures=True)

    def _run(self, ticket: Ticket, work: Callable[[Ticket], Any]) -> None:
        outcome: Outcome | None = None
        bug: Exception | None = None
        try:
            ticket.check()
            outcome = Answered(value=work(ticket))
        except Cancelled:
            outcome = Stopped()
        except InputError as error:
            outcome = Failed(problem=error)
        except Exception as error:  # noqa: BLE001 - carried to the window's thread and raised there
            bug = error
        if not self._closed:
            self._ended.emit(_Ended(ticket, outcome, bug))

    def _pass_on(self, ticket: Ticket, progress: Progress) -> None:
        if not ticket.cancelled:
            self.progressed.emit(progress)

    def _deliver(self, ended: _Ended) -> None:
        running = self._running.get(ended.ticket.lane)
        if running is None or running[0] is not ended.ticket:
            return
        del self._running[ended.ticket.lane]
        self.busy_changed.emit(ended.ticket.lane)
        if ended.bug is not None:
            raise ended.bug
        assert ended.outcome is not None
        running[1](ended.outcome)
