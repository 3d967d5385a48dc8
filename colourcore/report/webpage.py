"""A report as one web page that needs no other file: text as text, drawings as SVG, the typeface inside."""

from __future__ import annotations

import base64
from collections.abc import Iterable, Sequence
from html import escape
from typing import Final

from colourcore.report.blocks import (
    Block,
    Cell,
    Edge,
    Figure,
    Heading,
    NewPage,
    Notice,
    NoticeColumns,
    Paragraph,
    Report,
    Style,
    Table,
)
from colourcore.report.drawing import Anchor
from colourcore.report.lettering import Run, Weight, subset_font
from colourcore.report.pages import TEXT_WIDTH
from colourcore.report.phrases import format_date, unbroken
from colourcore.report.svg import drawing_svg

__all__ = ["page_html"]

_WEIGHTS: Final = {Weight.REGULAR: 400, Weight.SEMIBOLD: 600, Weight.BOLD: 700}

_STYLE_SHEET: Final = """
:root { color-scheme: light; }
body { margin: 0; background: #ececec; color: #141414; font: 17px/1.45 "Report", system-ui, sans-serif;
  font-variant-numeric: tabular-nums; }
main { max-width: 900px; margin: 0 auto; padding: 28px; background: #fff; }
header { border-bottom: 1.5px solid #141414; padding-bottom: 8px; display: flex; gap: 28px;
  justify-content: space-between; }
header p { margin: 0; color: #474747; }
h1 { font-size: 20px; margin: 0; overflow-wrap: anywhere; }
h2 { font-size: 24px; margin: 44px 0 8px; }
h3 { font-size: 18px; font-weight: 600; margin: 24px 0 4px; }
p { margin: 0 0 12px; overflow-wrap: anywhere; }
.headline { font-size: 30px; line-height: 1.25; margin: 20px 0 8px; }
.long { font-size: 24px; }
.second { font-size: 18px; color: #474747; }
.small, figcaption { font-size: 15px; color: #474747; }
figure { margin: 18px 0; }
figure svg { display: block; width: 100%; height: auto; }
.scroll { overflow-x: auto; margin: 8px 0 24px; }
table { border-collapse: collapse; width: 100%; font-size: 15px; }
caption { text-align: left; color: #474747; padding-bottom: 4px; }
th { text-align: left; font-weight: 400; color: #474747; border-bottom: 1px solid #828282; }
td { border-bottom: 1px solid #d2d2d2; }
th, td { padding: 3px 12px 3px 0; vertical-align: top; overflow-wrap: anywhere; }
.end { text-align: right; white-space: nowrap; }
.swatch { display: inline-block; width: 20px; height: 14px; margin-right: 8px; vertical-align: -2px;
  print-color-adjust: exact; -webkit-print-color-adjust: exact; }
.notice { padding-left: 18px; margin: 0 0 12px; position: relative; }
.notice::before { content: ""; position: absolute; left: 0; top: 3px; bottom: 3px; width: 9px; box-sizing: border-box;
  print-color-adjust: exact; -webkit-print-color-adjust: exact; }
.note::before { left: 7px; width: 2px; background: #141414; }
.care::before { border: 1px solid #141414;
  background: repeating-linear-gradient(-45deg, #141414 0, #141414 2px, transparent 2px, transparent 5px); }
.refused::before { background: #141414; }
.columns { columns: 2 300px; column-gap: 28px; font-size: 15px; margin-top: 18px; }
.columns .notice { break-inside: avoid; }
footer { border-top: 1px solid #828282; margin-top: 44px; padding-top: 8px; color: #474747; font-size: 15px; }
@media print {
  body { font-size: 9.5pt; }
  body, main { background: none; }
  main { padding: 0; max-width: none; }
  .headline { font-size: 20pt; margin-top: 8pt; }
  .long { font-size: 15pt; }
  .second { font-size: 11pt; }
  .small, figcaption, table, .columns, footer { font-size: 8.2pt; line-height: 1.27; }
  figure { margin: 6pt 0; }
  h2, h3 { break-after: avoid; }
  tr, figure, .notice { break-inside: avoid; }
  .columns { columns: 2; margin-top: 8pt; }
  .columns .notice { margin-bottom: 4pt; }
  .evidence { break-before: page; }
  .evidence h2:first-child { margin-top: 0; }
}
"""


def page_html(report: Report) -> str:
    """Return the report as HTML. The same report gives the same text."""
    pinned = "\n".join(_block(block) for block in report.pinned)
    evidence = "\n".join(_block(block) for block in report.evidence)
    title = escape(report.title)
    mark = f"<strong>{escape(report.invented)}</strong> " if report.invented else ""
    written = escape(format_date(report.written))
    body = (
        f"<main>\n<header><h1>{title}</h1><p>{written}</p></header>\n{pinned}\n"
        f'<section class="evidence">\n{evidence}\n</section>\n'
        f"<footer>{mark}{title} · {escape(report.program)} · {written}</footer>\n</main>"
    )
    return (
        '<!DOCTYPE html>\n<html lang="en">\n<head>\n<meta charset="utf-8">\n'
        '<meta name="viewport" content="width=device-width, initial-scale=1">\n'
        f"<title>{title}</title>\n<style>{_fonts(body)}{_STYLE_SHEET}</style>\n</head>\n<body>\n{body}\n</body>\n</html>\n"
    )


def _fonts(text: str) -> str:
    letters = {letter for letter in text if letter >= " "}
    return "".join(
        f'\n@font-face {{ font-family: "Report"; font-weight: {number}; '
        f"src: url(data:font/woff;base64,{base64.b64encode(subset_font(weight, letters)).decode('ascii')}) "
        'format("woff"); }'
        for weight, number in _WEIGHTS.items()
    )


def _block(block: Block) -> str:
    match block:
        case Heading():
            level = block.level + 1
            return f"<h{level}>{escape(block.text)}</h{level}>"
        case Paragraph():
            kind = f' class="{block.style.value}"' if block.style is not Style.BODY else ""
            return f"<p{kind}>{_runs(block.runs)}</p>"
        case Table():
            return _table(block)
        case Figure():
            svg = drawing_svg(block.draw(TEXT_WIDTH, block.height), TEXT_WIDTH)
            caption = f"<figcaption>{_runs(block.caption)}</figcaption>" if block.caption else ""
            return f"<figure>{svg}{caption}</figure>"
        case Notice():
            return _notice(block)
        case NoticeColumns():
            return f'<div class="columns">\n{_joined(_notice(notice) for notice in block.notices)}\n</div>'
        case NewPage():
            return ""


def _joined(parts: Iterable[str]) -> str:
    return "\n".join(parts)


def _runs(runs: Sequence[Run]) -> str:
    out = []
    for run in runs:
        text = escape(unbroken(run.text))
        out.append(
            text if run.weight is Weight.REGULAR else f'<b style="font-weight:{_WEIGHTS[run.weight]}">{text}</b>'
        )
    return "".join(out)


def _notice(block: Notice) -> str:
    kinds = {Edge.NOTE: "note", Edge.CARE: "care", Edge.REFUSED: "refused"}
    lead = f"<strong>{escape(block.lead)}</strong> " if block.lead else ""
    return f'<p class="notice {kinds[block.edge]}">{lead}{escape(unbroken(block.text))}</p>'


def _table(block: Table) -> str:
    head = "".join(f'<th scope="col"{_end(column.anchor)}>{escape(column.heading)}</th>' for column in block.columns)
    rows = []
    for row in block.rows:
        cells = (_cell(cell, column.anchor) for cell, column in zip(row, block.columns, strict=True))
        rows.append(f"<tr>{''.join(cells)}</tr>")
    return (
        f'<div class="scroll"><table><caption>{escape(block.caption)}</caption><thead><tr>{head}</tr></thead>'
        f"<tbody>\n{_joined(rows)}\n</tbody></table></div>"
    )


def _cell(cell: Cell, anchor: Anchor) -> str:
    swatch = f'<span class="swatch" style="background:{cell.swatch}"></span>' if cell.swatch else ""
    text = escape(unbroken(cell.text))
    if cell.weight is not Weight.REGULAR:
        text = f'<b style="font-weight:{_WEIGHTS[cell.weight]}">{text}</b>'
    return f"<td{_end(anchor)}>{swatch}{text}</td>"


def _end(anchor: Anchor) -> str:
    return ' class="end"' if anchor is Anchor.END else ""
