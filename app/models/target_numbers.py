"""A shade in numbers, as it is typed: L*, a*, b*, or the codes of a screen."""

from __future__ import annotations

import re
from enum import Enum

from app.wording import tr
from colourcore.colour.spaces import SRGB_TO_XYZ, srgb_decode, xyz_to_lab
from colourcore.errors import InputError
from colourcore.job.model import Lab
from colourcore.report.phrases import format_value

__all__ = ["Notation", "lab_from_codes", "lab_from_numbers", "lab_words"]

_HEXADECIMAL = re.compile(r"#?([0-9a-f]{6})", re.IGNORECASE)
_NUMBER = re.compile(r"[-+−]?\d+(?:[.,]\d+)?")


class Notation(Enum):
    """How a shade is written, with an example."""

    LAB = "48 4.5 13.6"
    SRGB = "134 110 92"
    MUNSELL = "7.5YR 4.5/3"


def _numbers(text: str) -> list[float]:
    """Return the numbers in a text; a comma with blanks after it parts, one between digits is a decimal comma."""
    parted = re.sub(r"[;,]\s", " ", f"{text} ")
    parted = re.sub(r"[a-z]\*\s*=?", " ", parted, flags=re.IGNORECASE)
    if _NUMBER.sub("", parted).strip():
        return []
    return [float(found.replace(",", ".").replace("−", "-")) for found in _NUMBER.findall(parted)]


def lab_from_numbers(text: str) -> Lab:
    """Return typed L*, a*, b*; L* alone is a lightness without colour. InputError for anything else.

    >>> lab_from_numbers("48, 4.5, 13.6"), lab_from_numbers("L* 48 a* −1,5 b* 13"), lab_from_numbers("48")
    ((48.0, 4.5, 13.6), (48.0, -1.5, 13.0), (48.0, None, None))
    """
    found = _numbers(text)
    if len(found) not in (1, 3):
        raise InputError(tr("expected L*, a*, b* such as 48 4.5 13.6, or L* alone, got {text}", text=_said(text)))
    lightness = found[0]
    if not 0 <= lightness <= 100:
        raise InputError(tr("expected L* from 0 to 100, got {value}", value=f"{lightness:g}"))
    if len(found) == 1:
        return lightness, None, None
    if any(abs(value) > 150 for value in found[1:]):
        raise InputError(tr("expected a* and b* from −150 to 150, got {text}", text=_said(text)))
    return lightness, found[1], found[2]


def lab_from_codes(text: str) -> Lab:
    """Return L*, a*, b* (D65/2°) of sRGB codes: three from 0 to 255, or #rrggbb. InputError for anything else.

    >>> [round(part or 0, 1) for part in lab_from_codes("#777777")][0], lab_from_codes("119 119 119")[0] > 49
    (50.0, True)
    """
    hexadecimal = _HEXADECIMAL.fullmatch(text.strip())
    if hexadecimal and not text.strip().isdigit():
        codes = [int(hexadecimal[1][at : at + 2], 16) for at in (0, 2, 4)]
    else:
        found = _numbers(text)
        if len(found) != 3 or any(value != int(value) or not 0 <= value <= 255 for value in found):
            raise InputError(tr("expected three codes from 0 to 255, or #rrggbb, got {text}", text=_said(text)))
        codes = [int(value) for value in found]
    lightness, a, b = xyz_to_lab(SRGB_TO_XYZ @ srgb_decode([code / 255 for code in codes])).tolist()
    return lightness, a, b


def lab_words(lab: Lab) -> str:
    """Return L*, a*, b* in words.

    >>> lab_words((48.0, 4.5, 13.6)).replace("\\u00a0", " "), lab_words((48.0, None, None)).replace("\\u00a0", " ")
    ('L* 48.0  a* 4.5  b* 13.6', 'L* 48.0')
    """
    parts = zip(("L*", "a*", "b*"), lab, strict=True)
    return "  ".join(f"{name}\u00a0{format_value(value)}" for name, value in parts if value is not None)


def _said(text: str) -> str:
    return text.strip() or tr("nothing")
