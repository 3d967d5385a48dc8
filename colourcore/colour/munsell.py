"""Munsell notation to CIELAB under D65. The renotation is one under illuminant C: it is carried over to D65."""

from __future__ import annotations

import re
from typing import Final

import numpy as np
from numpy.typing import NDArray

from colourcore.colour.spaces import WHITE_D65, chromatic_adaptation, xyz_to_lab
from colourcore.errors import InputError

__all__ = ["WHITE_C", "munsell_to_lab", "written_munsell"]

Array = NDArray[np.float64]

_C_X, _C_Y = 0.31006, 0.31616  # chromaticity of illuminant C, 2° observer (CIE 15, ASTM E308)

WHITE_C: Final[Array] = np.array([_C_X / _C_Y, 1.0, (1 - _C_X - _C_Y) / _C_Y])
"""XYZ of illuminant C for the 2° observer, under which the renotation was made."""
WHITE_C.setflags(write=False)

_NUMBER = r"(\d+(?:[.,]\d+)?)"
_COLOURED: Final = re.compile(rf"{_NUMBER}\s*(YR|GY|BG|PB|RP|R|Y|G|B|P)\s*{_NUMBER}\s*/\s*{_NUMBER}", re.IGNORECASE)
_NEUTRAL: Final = re.compile(rf"N\s*{_NUMBER}\s*/?(?:\s*0)?", re.IGNORECASE)


def written_munsell(text: str) -> str:
    """Return a notation as it is written: hue, value and chroma, or N and value.

    Raises InputError for anything that is no such notation.

    >>> written_munsell("7.5 yr 4 / 3"), written_munsell("n 5/")
    ('7.5YR 4/3', 'N5')
    """
    said = text.strip()
    coloured, neutral = _COLOURED.fullmatch(said), _NEUTRAL.fullmatch(said)
    if coloured:
        hue, letters, value, chroma = coloured.groups()
        hue, value, chroma = (f"{float(part.replace(',', '.')):g}" for part in (hue, value, chroma))
        _require(float(hue) <= 10 and 1 <= float(value) <= 9, said)
        return f"{hue}{letters.upper()} {value}/{chroma}" if float(chroma) else f"N{value}"
    if neutral:
        value = f"{float(neutral[1].replace(',', '.')):g}"
        _require(float(value) <= 10, said)
        return f"N{value}"
    raise InputError(f"expected a Munsell notation such as 10YR 4/3 or N 5/, got {said or 'nothing'}")


def _require(fits: bool, said: str) -> None:
    if not fits:
        raise InputError(f"expected a hue up to 10 and a value from 1 to 9 (N: up to 10), got {said}")


def munsell_to_lab(text: str) -> tuple[float, float, float]:
    """Return L*, a*, b* under D65 for the 2° observer of a Munsell notation.

    The renotation (Newhall, Nickerson, Judd 1943), which stands under illuminant C, is interpolated by colour-science
    and adapted to D65 by the linear Bradford transform. colour-science is loaded at the first call, which takes
    seconds: call it in the background.

    Parameters
    ----------
    text
        Hue, value and chroma ("7.5YR 4/3"), or N and value ("N 5/"), in any spacing.

    Raises
    ------
    InputError
        For what is no such notation, or a chroma that the renotation does not hold at that hue and value.

    Examples
    --------
    >>> [round(part, 1) for part in munsell_to_lab("N 5/")]
    [51.0, 0.0, 0.0]
    """
    notation = written_munsell(text)
    from colour.models import xyY_to_XYZ
    from colour.notation import munsell_colour_to_xyY

    try:
        under_c = np.asarray(xyY_to_XYZ(munsell_colour_to_xyY(notation)), dtype=np.float64)
    except (AssertionError, ValueError, RuntimeError):
        raise InputError(f"expected a colour that the Munsell renotation holds, got {notation}") from None
    lightness, a, b = xyz_to_lab(chromatic_adaptation(WHITE_C, WHITE_D65) @ under_c)
    return float(lightness), float(a), float(b)
