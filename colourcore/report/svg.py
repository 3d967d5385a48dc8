"""A drawing as SVG text for a web page."""

from __future__ import annotations

import base64
from html import escape
from typing import Final

from colourcore.report.drawing import Area, Dot, Drawing, Mark, Pen, Picture, Point, Stroke, Words
from colourcore.report.lettering import Weight
from colourcore.report.painter import picture_bytes

__all__ = ["drawing_svg"]

_WEIGHTS: Final = {Weight.REGULAR: 400, Weight.SEMIBOLD: 600, Weight.BOLD: 700}


def drawing_svg(drawing: Drawing, width: float) -> str:
    """Return an SVG element `width` points wide at its own size, with its description for screen readers.

    A drawing that is narrower stands at the left.
    """
    box = f"0 0 {_number(max(width, drawing.width))} {_number(drawing.height)}"
    marks = "\n".join(_mark(mark) for mark in drawing.marks)
    label = escape(drawing.description, quote=True)
    return (
        f'<svg xmlns="http://www.w3.org/2000/svg" viewBox="{box}" role="img" aria-label="{label}" '
        f'font-family="Report, system-ui, sans-serif">\n{marks}\n</svg>'
    )


def _number(value: float) -> str:
    return f"{value:.2f}".rstrip("0").rstrip(".")


def _points(points: tuple[Point, ...]) -> str:
    return " ".join(f"{_number(x)},{_number(y)}" for x, y in points)


def _paint(fill: str | None, pen: Pen | None) -> str:
    out = f'fill="{fill or "none"}"'
    if pen is not None:
        out += f' stroke="{pen.ink}" stroke-width="{_number(pen.width)}"'
        if pen.dash:
            out += f' stroke-dasharray="{" ".join(_number(part) for part in pen.dash)}"'
    return out


def _mark(mark: Mark) -> str:
    match mark:
        case Stroke():
            return f'<polyline points="{_points(mark.points)}" {_paint(None, mark.pen)}/>'
        case Area():
            return f'<polygon points="{_points(mark.points)}" {_paint(mark.fill, mark.pen)}/>'
        case Dot():
            place = f'cx="{_number(mark.x)}" cy="{_number(mark.y)}" r="{_number(mark.radius)}"'
            return f"<circle {place} {_paint(mark.fill, mark.pen)}/>"
        case Words():
            return (
                f'<text x="{_number(mark.x)}" y="{_number(mark.y)}" font-size="{_number(mark.size)}" '
                f'font-weight="{_WEIGHTS[mark.weight]}" fill="{mark.ink}" text-anchor="{mark.anchor.value}">'
                f"{escape(mark.text)}</text>"
            )
        case Picture():
            kind = "png" if mark.lossless else "jpeg"
            data = base64.b64encode(picture_bytes(mark)).decode("ascii")
            return (
                f'<image x="{_number(mark.x)}" y="{_number(mark.y)}" width="{_number(mark.width)}" '
                f'height="{_number(mark.height)}" preserveAspectRatio="none" href="data:image/{kind};base64,{data}"/>'
            )
