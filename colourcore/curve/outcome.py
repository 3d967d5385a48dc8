"""The three things that can be said about reaching a target."""

from __future__ import annotations

from enum import StrEnum

__all__ = ["Outcome"]


class Outcome(StrEnum):
    """What can be said about reaching the target within the horizon."""

    REACHED = "reached"
    NOT_REACHED = "not_reached"
    CANNOT_SAY = "cannot_say"
