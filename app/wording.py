"""The one door that the window's own words go through, so that they can be translated."""

from __future__ import annotations

from PySide6.QtCore import QCoreApplication

__all__ = ["count", "duration", "tr"]

_CONTEXT = "duskgrain"
_ONES = (
    *("No", "One", "Two", "Three", "Four", "Five", "Six", "Seven", "Eight", "Nine", "Ten"),
    *("Eleven", "Twelve", "Thirteen", "Fourteen", "Fifteen", "Sixteen", "Seventeen", "Eighteen", "Nineteen", "Twenty"),
)


def tr(text: str, /, **values: object) -> str:
    """Return a text in the user's language, with `{name}` replaced by the values.

    >>> tr("{n} hours for {m} samples", n=9, m=9)
    '9 hours for 9 samples'
    """
    translated = QCoreApplication.translate(_CONTEXT, text)
    return translated.format(**values) if values else translated


def count(number: int, one: str, many: str) -> str:
    """Return a number spelt out up to twenty with the thing counted, to begin a sentence.

    >>> count(1, "sample", "samples"), count(9, "photo", "photos"), count(27, "sample", "samples")
    ('One sample', 'Nine photos', '27 samples')
    """
    spelt = tr(_ONES[number]) if number < len(_ONES) else str(number)
    return f"{spelt} {tr(one) if number == 1 else tr(many)}"


def duration(hours: float) -> str:
    """Return hours as they are said, whole minutes, with spaces that do not break.

    >>> duration(9 + 40 / 60).replace("\\u00a0", " "), duration(9.0).replace("\\u00a0", " ")
    ('9 h 40', '9 h')
    >>> duration(0.25).replace("\\u00a0", " ")
    '15 min'
    """
    minutes = round(hours * 60)
    whole, rest = divmod(minutes, 60)
    if not whole and rest:
        return f"{rest}\u00a0min"
    return f"{whole}\u00a0h\u00a0{rest:02d}" if rest else f"{whole}\u00a0h"
