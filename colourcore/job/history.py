"""What was done, in order, and where in it the user stands: undo and redo as one frozen value.

A step holds the whole state that it led to, so no inverse has to be computed and none can be wrong. The job file
keeps row numbers as states, the window keeps jobs: the history does not care.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import Generic, TypeVar

__all__ = ["History", "Step"]

State = TypeVar("State")


@dataclass(frozen=True, slots=True, kw_only=True)
class Step(Generic[State]):
    """One act: its name in the user's words, the state that it led to, and when it was done (ISO 8601, or empty)."""

    name: str
    state: State
    at: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class History(Generic[State]):
    """A start, the acts that followed it, and how many of them stand.

    Attributes
    ----------
    steps
        The start first (its name says how the job began), then the acts in the order they were done; never empty.
    position
        The index of the step that stands now, 0 to len(steps) − 1. Steps behind it can be redone.

    Examples
    --------
    >>> history = History.begin(0).do("hours of 2 samples", 1).do("name of the job", 2)
    >>> history.undo().state, history.undo().undo_name, history.undo().redo_name
    (1, 'hours of 2 samples', 'name of the job')
    >>> history.undo().do("board of 1 sample", 3).redo_name
    ''
    """

    steps: tuple[Step[State], ...]
    position: int = 0

    def __post_init__(self) -> None:
        if not 0 <= self.position < len(self.steps):
            raise ValueError(f"position {self.position} among {len(self.steps)} steps")

    @classmethod
    def begin(cls, state: State, name: str = "start", at: str = "") -> History[State]:
        """Return a history that holds nothing but its start."""
        return cls(steps=(Step(name=name, state=state, at=at),))

    @property
    def state(self) -> State:
        """What stands now."""
        return self.steps[self.position].state

    @property
    def undo_name(self) -> str:
        """The name of the act that undo would take back; empty at the start."""
        return self.steps[self.position].name if self.position else ""

    @property
    def redo_name(self) -> str:
        """The name of the act that redo would bring back; empty where nothing was undone."""
        return self.steps[self.position + 1].name if self.position + 1 < len(self.steps) else ""

    def do(self, name: str, state: State, at: str = "") -> History[State]:
        """Return the history with one more act; acts that were undone before it leave the line."""
        steps = (*self.steps[: self.position + 1], Step(name=name, state=state, at=at))
        return replace(self, steps=steps, position=len(steps) - 1)

    def undo(self) -> History[State]:
        """Return the history one act back; itself at the start."""
        return replace(self, position=self.position - 1) if self.position else self

    def redo(self) -> History[State]:
        """Return the history one act further; itself where nothing was undone."""
        return replace(self, position=self.position + 1) if self.position + 1 < len(self.steps) else self

    def go_to(self, position: int) -> History[State]:
        """Return the history standing at any of its steps; ValueError where there is no such step."""
        return replace(self, position=position)
