"""What may happen in a run: the words of its log."""

from __future__ import annotations

from enum import StrEnum

__all__ = ["Happening"]


class Happening(StrEnum):
    """What may happen in a run."""

    POURED = "poured"
    WARMTH = "warmth"
    LOOKED = "looked"
    OPENED = "opened"
    BROKEN_OFF = "broken_off"
    TAKEN_OUT = "taken_out"
    GAS_READING = "gas_reading"
