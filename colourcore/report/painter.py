"""Paints a drawing on a page of an open PDF."""

from __future__ import annotations

import io
from typing import Final

import cv2
import numpy as np
from fpdf import FPDF
from numpy.typing import NDArray

from colourcore.report.drawing import Anchor, Area, Dot, Drawing, Mark, Pen, Picture, Stroke, Words, dashes
from colourcore.report.lettering import printable, text_width

__all__ = ["paint", "picture_bytes"]

_DOTS_PER_INCH: Final = 220.0
_JPEG_QUALITY: Final = 88


def paint(pdf: FPDF, drawing: Drawing, x: float, y: float) -> None:
    """Paint a drawing with its top left corner at (x, y), in points from the page's top left corner."""
    for mark in drawing.marks:
        _paint_mark(pdf, mark, x, y)


def _paint_mark(pdf: FPDF, mark: Mark, x: float, y: float) -> None:
    match mark:
        case Words():
            _words(pdf, mark, x, y)
        case Stroke():
            _stroke(pdf, mark, x, y)
        case Area():
            _area(pdf, mark, x, y)
        case Dot():
            style = _style(pdf, mark.fill, mark.pen)
            if style:
                pdf.circle(x + mark.x, y + mark.y, mark.radius, style=style)
        case Picture():
            data = io.BytesIO(picture_bytes(mark))
            pdf.image(data, x + mark.x, y + mark.y, mark.width, mark.height, alt_text=mark.described)


def _codes(ink: str) -> tuple[int, int, int]:
    return int(ink[1:3], 16), int(ink[3:5], 16), int(ink[5:7], 16)


def _words(pdf: FPDF, words: Words, x: float, y: float) -> None:
    text = printable(words.text)
    left = x + words.x
    if words.anchor is not Anchor.START:
        left -= text_width(text, words.size, words.weight) * (0.5 if words.anchor is Anchor.MIDDLE else 1.0)
    pdf.set_font(words.weight, size=words.size)
    pdf.set_text_color(*_codes(words.ink))
    pdf.text(left, y + words.y, text)


def _stroke(pdf: FPDF, stroke: Stroke, x: float, y: float) -> None:
    points = [(x + px, y + py) for px, py in stroke.points]
    _style(pdf, None, stroke.pen)
    for piece in dashes(points, stroke.pen.dash) if stroke.pen.dash else [tuple(points)]:
        pdf.polyline(list(piece))


def _area(pdf: FPDF, area: Area, x: float, y: float) -> None:
    points = [(x + px, y + py) for px, py in area.points]
    if area.pen is not None and area.pen.dash:
        _stroke(pdf, Stroke(points=(*area.points, area.points[0]), pen=area.pen), x, y)
        return
    style = _style(pdf, area.fill, area.pen)
    if style:
        pdf.polygon(points, style=style)


def _style(pdf: FPDF, fill: str | None, pen: Pen | None) -> str:
    """Set pen and fill, and return fpdf2's word for what is to be painted."""
    if fill is not None:
        pdf.set_fill_color(*_codes(fill))
    if pen is not None:
        pdf.set_draw_color(*_codes(pen.ink))
        pdf.set_line_width(pen.width)
    return ("D" if pen is not None else "") + ("F" if fill is not None else "")


def picture_bytes(picture: Picture) -> bytes:
    """Return a picture as a file: PNG where it must stay exact, else JPEG no finer than print shows."""
    pixels: NDArray[np.uint8] = picture.pixels
    if not picture.lossless:
        most = max(picture.width, picture.height) / 72.0 * _DOTS_PER_INCH
        scale = most / max(pixels.shape[:2])
        if scale < 1.0:
            size = (max(1, round(pixels.shape[1] * scale)), max(1, round(pixels.shape[0] * scale)))
            pixels = np.asarray(cv2.resize(pixels, size, interpolation=cv2.INTER_AREA), dtype=np.uint8)
    backwards = np.ascontiguousarray(pixels[..., ::-1])
    options = [] if picture.lossless else [cv2.IMWRITE_JPEG_QUALITY, _JPEG_QUALITY]
    done, data = cv2.imencode(".png" if picture.lossless else ".jpg", backwards, options)
    if not done:
        raise ValueError(f"a picture of shape {pixels.shape} could not be encoded")
    return bytes(data.tobytes())
