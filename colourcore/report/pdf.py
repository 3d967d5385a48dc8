"""A report as a PDF file. The same report gives the same bytes."""

from __future__ import annotations

from importlib import resources
from pathlib import Path

from fpdf import FPDF

from colourcore.report.blocks import Report
from colourcore.report.lettering import Weight
from colourcore.report.pages import TEXT_WIDTH, Paper, paginate
from colourcore.report.painter import paint

__all__ = ["pdf_bytes"]


def pdf_bytes(report: Report, paper: Paper = Paper.A4) -> bytes:
    """Return the report as a PDF file, with title, language, bookmarks and descriptions of its pictures."""
    with resources.as_file(resources.files("colourcore.report") / "fonts") as folder:
        pdf = _opened(report, paper, folder)
        for page in paginate(report, paper):
            pdf.add_page()
            for placed in page.placed:
                if placed.bookmark:
                    pdf.set_y(placed.y)
                    pdf.start_section(placed.bookmark)
                paint(pdf, placed.drawing, (pdf.w - TEXT_WIDTH) / 2, placed.y)
        written = bytes(pdf.output())
        for font in pdf.fonts.values():
            font.ttfont.close()
    return written


def _opened(report: Report, paper: Paper, folder: Path) -> FPDF:
    pdf = FPDF(unit="pt", format=paper.value)
    pdf.set_auto_page_break(False)
    pdf.set_margin(0)
    pdf.set_creation_date(report.written)
    pdf.set_title(report.title)
    pdf.set_subject("Hours to a shade of fumed wood, with their odds")
    pdf.set_creator(report.program)
    pdf.set_producer("fpdf2")
    pdf.set_lang("en")
    for weight in Weight:
        pdf.add_font(weight, "", folder / f"SourceSans3-{weight}.ttf")
    return pdf
