"""The bundled typeface: its files, the widths of its words, and lines broken by them."""

from __future__ import annotations

import io
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from enum import StrEnum
from functools import cache
from importlib import resources

__all__ = [
    "Run",
    "Weight",
    "bold_times",
    "font_file",
    "plain",
    "printable",
    "shortened",
    "subset_font",
    "text_width",
    "wrap",
]

_UNKNOWN_WIDTH = 0.5
_NO_BREAK = "\u00a0"


class Weight(StrEnum):
    """The three weights that are bundled."""

    REGULAR = "Regular"
    SEMIBOLD = "Semibold"
    BOLD = "Bold"


@dataclass(frozen=True, slots=True, kw_only=True)
class Run:
    """A stretch of text in one weight."""

    text: str
    weight: Weight = Weight.REGULAR


def plain(text: str, weight: Weight = Weight.REGULAR) -> tuple[Run, ...]:
    """Return text as a single run.

    >>> plain("hours")[0].text
    'hours'
    """
    return (Run(text=text, weight=weight),)


def bold_times(text: str, weight: Weight = Weight.REGULAR) -> tuple[Run, ...]:
    """Return a sentence in runs with its first time, as `phrases.format_hours` writes times, in bold in each clause.

    Times inside brackets or after "between" are ends of an interval and stay in the sentence's weight.

    >>> [run.text for run in bold_times("Oak is due at 9 h 40, nine times in ten between 8 h and 11 h.")]
    ['Oak is due at ', '9 h 40', ', nine times in ten between 8 h and 11 h.']
    """
    words = text.split(" ")
    runs: list[Run] = []
    position = 0
    while position < len(words):
        length = _time_length(words, position)
        before = words[position - 1] if position else ""
        looking = before == "from" and words[position - 2] == "Look"
        if length and (before in {"after", "at"} or looking):
            time = " ".join(words[position : position + length])
            ending = time[len(time.rstrip(".,;:)")) :]
            runs.append(Run(text=time.removesuffix(ending), weight=Weight.BOLD))
            runs.append(Run(text=f"{ending} ", weight=weight))
            position += length
        else:
            runs.append(Run(text=f"{words[position]} ", weight=weight))
            position += 1
    return _joined(runs)


def _time_length(words: Sequence[str], position: int) -> int:
    """Return how many words a time takes that begins here, 0 where none does."""
    following = [word.rstrip(".,;:)") for word in words[position + 1 : position + 3]]
    if not words[position].isdigit() or not following or following[0] not in {"h", "min"}:
        return 0
    ends_here = words[position + 1] != following[0]
    minutes = following[1] if len(following) > 1 else ""
    return 3 if not ends_here and following[0] == "h" and len(minutes) == 2 and minutes.isdigit() else 2


def _joined(runs: Iterable[Run]) -> tuple[Run, ...]:
    joined: list[Run] = []
    for run in runs:
        if joined and joined[-1].weight is run.weight:
            joined[-1] = Run(text=joined[-1].text + run.text, weight=run.weight)
        else:
            joined.append(run)
    if joined:
        joined[-1] = Run(text=joined[-1].text.rstrip(" "), weight=joined[-1].weight)
    return tuple(run for run in joined if run.text)


@cache
def font_file(weight: Weight) -> bytes:
    """Return the bundled TrueType file of a weight."""
    return (resources.files("colourcore.report") / "fonts" / f"SourceSans3-{weight}.ttf").read_bytes()


@cache
def _advances(weight: Weight) -> dict[str, float]:
    from fontTools.ttLib import TTFont  # type: ignore[import-untyped]  # fontTools ships no types

    font = TTFont(io.BytesIO(font_file(weight)), recalcTimestamp=False, lazy=True)
    em = float(font["head"].unitsPerEm)
    metrics = font["hmtx"]
    return {chr(code): metrics[glyph][0] / em for code, glyph in font.getBestCmap().items()}


def printable(text: str) -> str:
    """Return text with a white square in place of every letter that the typeface does not have.

    >>> printable("oak \N{CJK UNIFIED IDEOGRAPH-6728}")
    'oak □'
    """
    known = _advances(Weight.REGULAR)
    return "".join(letter if letter in known else "□" for letter in text)


def text_width(text: str, size: float, weight: Weight = Weight.REGULAR) -> float:
    """Return the width of a line of text, in the unit of `size`, without kerning.

    >>> text_width("00", 10.0) == 2 * text_width("0", 10.0)
    True
    """
    advances = _advances(weight)
    return size * sum(advances.get(letter, _UNKNOWN_WIDTH) for letter in text)


def shortened(text: str, width: float, size: float = 8.0, weight: Weight = Weight.REGULAR) -> str:
    """Return text that is no wider than `width`, cut with an ellipsis where it must be.

    >>> shortened("heartwood", 30.0), shortened("oak", 30.0)
    ('heart…', 'oak')
    """
    if text_width(text, size, weight) <= width:
        return text
    while text and text_width(f"{text}…", size, weight) > width:
        text = text[:-1]
    return f"{text.rstrip()}…"


def subset_font(weight: Weight, letters: Iterable[str]) -> bytes:
    """Return a WOFF font of these letters, without a name of its own; the same letters give the same bytes."""
    from fontTools.subset import Options, Subsetter  # type: ignore[import-untyped]  # fontTools ships no types
    from fontTools.ttLib import TTFont

    font = TTFont(io.BytesIO(font_file(weight)), recalcTimestamp=False)
    for table in ("GSUB", "GPOS", "GDEF"):  # kerning and ligatures, which the pages do without
        del font[table]
    # no name: a part of the typeface must not go by the name that its licence reserves
    options = Options(name_IDs=[], notdef_outline=True)
    subsetter = Subsetter(options)
    subsetter.populate(text="".join(sorted(set(letters))))
    subsetter.subset(font)
    font.flavor = "woff"
    out = io.BytesIO()
    font.save(out)
    return out.getvalue()


def wrap(runs: Sequence[Run], size: float, width: float) -> list[list[Run]]:
    """Break runs into lines no wider than `width`; a word that is wider on its own is broken between letters.

    A no-break space joins words and comes out as a plain space.

    >>> [line[0].text for line in wrap(plain("as dark as it gets"), 10.0, 40.0)]
    ['as dark', 'as it gets']
    """
    lines: list[list[Run]] = [[]]
    used = 0.0
    for piece in _pieces(runs, size, width):
        needed = sum(text_width(run.text, size, run.weight) for run in piece)
        gap = text_width(" ", size, piece[0].weight) if lines[-1] else 0.0
        if lines[-1] and used + gap + needed > width:
            lines.append([])
            used, gap = 0.0, 0.0
        if lines[-1]:
            lines[-1].append(Run(text=" ", weight=piece[0].weight))
        lines[-1] += piece
        used += gap + needed
    return [
        list(_joined(Run(text=run.text.replace(_NO_BREAK, " "), weight=run.weight) for run in line)) for line in lines
    ]


def _pieces(runs: Sequence[Run], size: float, width: float) -> Iterable[list[Run]]:
    """Yield what may not be broken: letters of one or more weights between two spaces."""
    piece: list[Run] = []
    for run in runs:
        parts = run.text.split(" ")
        for number, part in enumerate(parts):
            if number and piece:
                yield piece
                piece = []
            if not part:
                continue
            *whole, rest = _cut(part, size, width, run.weight)
            for each in whole:
                yield [*piece, Run(text=each, weight=run.weight)]
                piece = []
            piece.append(Run(text=rest, weight=run.weight))
    if piece:
        yield piece


def _cut(word: str, size: float, width: float, weight: Weight) -> list[str]:
    if text_width(word, size, weight) <= width:
        return [word]
    parts, current = [], ""
    for letter in word:
        if current and text_width(current + letter, size, weight) > width:
            parts.append(current)
            current = ""
        current += letter
    return [*parts, current]
