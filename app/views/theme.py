"""What the window looks like: greys, type, spaces and the three measures. Nothing here knows what is shown.

The wood is the only colour, so every token is an exact neutral grey; the bench, on which wood lies, is the same in
both themes. Sizes are logical pixels at 100 %.
"""

from __future__ import annotations

from dataclasses import dataclass
from enum import Enum
from functools import cache
from importlib.resources import files

from PySide6.QtCore import QByteArray, QSize
from PySide6.QtGui import QColor, QFont, QFontDatabase, QFontMetricsF, QPalette

__all__ = [
    "BODY",
    "BOLD",
    "BUTTONS",
    "CURVE_LINE",
    "DARK",
    "EDGE_LINE",
    "FAMILY",
    "FOCUS_CLEAR",
    "FOCUS_LINE",
    "FOLDED",
    "FULL",
    "GRID_LINE",
    "HIT",
    "LEDGER_HEAD",
    "LIGHT",
    "LOOK",
    "PLACES",
    "RADIUS",
    "REGULAR",
    "SECOND_LINE",
    "SEMIBOLD",
    "SENTENCE",
    "SMALL",
    "SMALL_TEXT",
    "SPACES",
    "Bench",
    "Measure",
    "Theme",
    "font",
    "load_fonts",
    "measure_for",
    "palette",
    "text_width",
]

FAMILY = "Source Sans 3"

# sizes of type
SMALL_TEXT, BODY, BUTTONS, PLACES, LEDGER_HEAD, SENTENCE, LOOK = 15, 17, 18, 20, 22, 30, 110
REGULAR, SEMIBOLD, BOLD = QFont.Weight.Normal, QFont.Weight.DemiBold, QFont.Weight.Bold

SPACES = (4, 8, 12, 18, 28)
RADIUS = 2
GRID_LINE, EDGE_LINE, CURVE_LINE, SECOND_LINE = 1.0, 1.5, 2.6, 2.0
HIT = 28  # the least height and width of anything that can be hit
FOCUS_LINE, FOCUS_CLEAR = 3.0, 4.0


class Bench(Enum):
    """The bench and what lies on it: the same grey in both themes, L* 76.6, so that wood is judged alike."""

    BENCH = "#bdbdbd"
    RULE = "#dadada"
    INK = "#141414"
    SECOND_INK = "#363636"

    @property
    def colour(self) -> QColor:
        """The token as a colour to paint with."""
        return QColor(self.value)


@dataclass(frozen=True, slots=True, kw_only=True)
class Theme:
    """The greys of page, figures and words; `name` is "light" or "dark"."""

    name: str
    page: QColor
    ink: QColor
    second_ink: QColor
    line: QColor
    grid: QColor
    band: QColor
    well: QColor
    odds: QColor
    odds_text: QColor

    @property
    def dark(self) -> bool:
        """Whether the page is dark."""
        return self.name == "dark"


LIGHT = Theme(
    name="light",
    page=QColor("#ececec"),
    ink=QColor("#141414"),
    second_ink=QColor("#474747"),
    line=QColor("#828282"),
    grid=QColor("#d2d2d2"),
    band=QColor("#c9c9c9"),
    well=QColor("#f8f8f8"),
    odds=QColor("#3a3a3a"),
    odds_text=QColor("#ffffff"),
)
DARK = Theme(
    name="dark",
    page=QColor("#232323"),
    ink=QColor("#f0f0f0"),
    second_ink=QColor("#bdbdbd"),
    line=QColor("#787878"),
    grid=QColor("#3c3c3c"),
    band=QColor("#4a4a4a"),
    well=QColor("#171717"),
    odds=QColor("#d6d6d6"),
    odds_text=QColor("#141414"),
)


@dataclass(frozen=True, slots=True, kw_only=True)
class Measure:
    """Sizes that follow the window's size.

    Attributes
    ----------
    margin
        Left and right margin of the page.
    line_height
        Height of the places line.
    sentence
        Size of the sentence's type.
    second_line
        Whether the quieter second line of the sentence, and the answers under the places, are shown.
    ledger, photo_ledger
        Width of the ledger at the right, and of that of *Photos*.
    folded
        Whether the ledger scrolls under the bench and one row of samples is shown at a time.
    """

    name: str
    margin: int
    line_height: int
    sentence: int
    second_line: bool
    ledger: int
    photo_ledger: int
    folded: bool


FULL = Measure(
    name="full", margin=28, line_height=70, sentence=30, second_line=True, ledger=284, photo_ledger=372, folded=False
)
SMALL = Measure(
    name="small", margin=20, line_height=58, sentence=24, second_line=True, ledger=236, photo_ledger=300, folded=False
)
FOLDED = Measure(
    name="folded", margin=16, line_height=40, sentence=22, second_line=False, ledger=236, photo_ledger=236, folded=True
)

_SMALL_UNDER_WIDTH, _FOLDED_UNDER_HEIGHT = 1250, 640


def measure_for(size: QSize) -> Measure:
    """Return the measures for a window of that size in logical pixels."""
    if size.height() < _FOLDED_UNDER_HEIGHT:
        return FOLDED
    return SMALL if size.width() < _SMALL_UNDER_WIDTH else FULL


def load_fonts() -> None:
    """Make the bundled type known to Qt; once in each program, after the application exists."""
    for name in ("Regular", "Semibold", "Bold"):
        file = files("colourcore.report") / "fonts" / f"SourceSans3-{name}.ttf"
        QFontDatabase.addApplicationFontFromData(QByteArray(file.read_bytes()))


@cache
def font(size: int = BODY, weight: QFont.Weight = REGULAR) -> QFont:
    """Return the window's type at a size in logical pixels, with tabular figures."""
    made = QFont(FAMILY)
    made.setPixelSize(size)
    made.setWeight(weight)
    made.setFeature(QFont.Tag("tnum"), 1)
    made.setHintingPreference(QFont.HintingPreference.PreferNoHinting)
    return made


def text_width(text: str, size: int = BODY, weight: QFont.Weight = REGULAR) -> float:
    """Return how wide a text of one line is, in logical pixels."""
    return QFontMetricsF(font(size, weight)).horizontalAdvance(text)


def palette(theme: Theme) -> QPalette:
    """Return Qt's palette for the theme, so that fields and lists that Qt paints itself match the page."""
    made = QPalette()
    role = QPalette.ColorRole
    for which, colour in (
        (role.Window, theme.page),
        (role.WindowText, theme.ink),
        (role.Base, theme.well),
        (role.AlternateBase, theme.page),
        (role.Text, theme.ink),
        (role.PlaceholderText, theme.second_ink),
        (role.Button, theme.page),
        (role.ButtonText, theme.ink),
        (role.BrightText, theme.ink),
        (role.Highlight, theme.ink),
        (role.HighlightedText, theme.page),
        (role.Link, theme.ink),
        (role.ToolTipBase, theme.well),
        (role.ToolTipText, theme.ink),
        (role.Mid, theme.line),
        (role.Dark, theme.line),
        (role.Light, theme.grid),
        (role.Accent, theme.ink),
    ):
        made.setColor(which, colour)
    for which in (role.WindowText, role.Text, role.ButtonText):
        made.setColor(QPalette.ColorGroup.Disabled, which, theme.second_ink)
    return made
