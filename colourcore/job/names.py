"""File names that every system takes."""

from __future__ import annotations

import re
import unicodedata
from typing import Final

__all__ = ["file_name"]

_REFUSED = re.compile(r'[<>:"/\\|?*\x00-\x1f\x7f]')
# Windows takes these for devices, whatever ending follows
_DEVICES: Final = frozenset(
    ["con", "prn", "aux", "nul", *(f"{port}{number}" for port in ("com", "lpt") for number in range(1, 10))]
)
_LONGEST: Final = 200  # bytes in UTF-8; systems take 255, and numbers may be added


def file_name(words: str, ending: str) -> str:
    """Return a file name out of the user's words, as Windows, macOS and Linux all take it.

    >>> file_name("Anna's chest: lid/left", ".csv")
    "Anna's chest lid left.csv"
    >>> file_name("con", ".csv"), file_name(" .. ", ".csv")
    ('_con.csv', 'unnamed.csv')
    """
    stem = " ".join(_REFUSED.sub(" ", unicodedata.normalize("NFC", _whole(words[:_LONGEST]))).split()).strip(". ")
    tail = _REFUSED.sub("", _whole(ending[:_LONGEST])).rstrip(". ")
    while len((stem + tail).encode("utf-8")) > _LONGEST:
        stem, tail = (stem[:-1], tail) if stem else (stem, tail[:-1])
    stem = stem.rstrip(". ") or "unnamed"
    return f"_{stem}{tail}" if stem.split(".")[0].strip().casefold() in _DEVICES else stem + tail


def _whole(text: str) -> str:
    return text.encode("utf-8", "replace").decode("utf-8")
