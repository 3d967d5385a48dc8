"""What was measured of photos once, kept in the job file: a cache, whose rows may go at any time."""

from __future__ import annotations

import hashlib
import sqlite3
from collections.abc import Iterable, Mapping
from typing import Final, TypeVar

from colourcore.image.pixels import Outline
from colourcore.job.codec import TextError, from_text, to_text
from colourcore.job.database import LARGEST_TEXT

__all__ = ["read_measured", "write_measured"]

Value = TypeVar("Value")

_MARGIN: Final = 4_000  # bytes that the rest of a row may take
_MEASURED_KEPT: Final = 500  # rows of the cache, at least
_MOST_MEASURED: Final = 20_000  # rows of the cache read at once
_SHA256_LENGTH: Final = 64  # hexadecimal digits


def write_measured(
    connection: sqlite3.Connection, method: str, values: Mapping[tuple[str, Outline | None], object]
) -> None:
    """Keep values measured from photos, of a whole photo or of an outline, by one version of a method.

    A photo's key is its SHA-256, with what else its figures depend on behind it.

    The rows that were written longest ago give way where there are many: they can be measured again.
    """
    rows = []
    for (sha256, outline), value in values.items():
        where, text = to_text(outline) if outline else "", to_text(value)
        if len(text) < LARGEST_TEXT - _MARGIN:
            rows.append((sha256, where, method, _checksum(sha256, where, method, text), text))
    connection.executemany("INSERT OR REPLACE INTO measured VALUES (?, ?, ?, ?, ?)", rows)
    most = max(_MEASURED_KEPT, 2 * len(rows))
    connection.execute("DELETE FROM measured WHERE rowid <= (SELECT max(rowid) FROM measured) - ?", (most,))


def read_measured(
    connection: sqlite3.Connection, method: str, kind: type[Value], photos: Iterable[str]
) -> dict[tuple[str, Outline | None], Value]:
    """Return what was measured from these photos (by SHA-256) by one version of the method, by key and outline.

    A row that cannot be read, or was altered, is passed over: it will be measured again.
    """
    wanted = frozenset(photos)
    found: dict[tuple[str, Outline | None], Value] = {}
    rows = connection.execute(
        f"SELECT sha256, outline, checksum, value FROM measured WHERE method = ? LIMIT {_MOST_MEASURED}", (method,)
    )
    for key, where, checksum, text in rows:
        texts = isinstance(key, str) and isinstance(where, str) and isinstance(text, str)
        if not texts or key[:_SHA256_LENGTH] not in wanted or checksum != _checksum(key, where, method, text):
            continue
        try:
            outline = from_text(Outline, where) if where else None
            found[key, outline] = from_text(kind, text)
        except TextError:
            continue
    return found


def _checksum(sha256: str, where: str, method: str, text: str) -> str:
    return hashlib.sha256("\n".join([sha256, where, method, text]).encode("utf-8")).hexdigest()
