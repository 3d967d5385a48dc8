"""What the ledger of *Hours* says at the hour of the grip: blocks of words and figures, nothing painted."""

from __future__ import annotations

from dataclasses import dataclass

from app.models.hours_prospect import Moment, TenPieces
from app.models.hours_scene import HoursScene, Strand
from app.models.hours_words import board_title, spoken_down, spoken_hours, strand_title
from app.wording import tr
from colourcore.colour.difference import split_difference
from colourcore.curve.fit import Target
from colourcore.curve.match import MEANT_FOR
from colourcore.curve.outcome import Outcome
from colourcore.report.phrases import difference_in_words, format_error, format_value, of_ten_in_words, unbroken
from colourcore.report.sentences import board_sentence

__all__ = [
    "Block",
    "Figures",
    "Head",
    "Line",
    "Paragraph",
    "Pieces",
    "ledger_blocks",
    "ledger_notes",
    "pieces_sentence",
]

_SAME_LIGHTNESS = 0.05
_SHADES = ((0.5, "as {word}"), (1.5, "a shade {word}"), (4.0, "{word}"))
_FOR_GOOD = "Short can go back in; past cannot."


@dataclass(frozen=True, slots=True, kw_only=True)
class Head:
    """A head of the ledger and a quiet word at its right; `large` for the hour itself."""

    title: str
    aside: str
    large: bool


@dataclass(frozen=True, slots=True, kw_only=True)
class Pieces:
    """Ten little pieces; `whose` is what a screen reader calls them."""

    ten: TenPieces
    whose: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Paragraph:
    """Words with `**heavier**` ones; `quiet` in the second ink and smaller, `noted` with a stroke before it."""

    text: str
    quiet: bool = False
    noted: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class Figures:
    """A small table: heads of its two columns, the second empty where there is none; rows of a name and two values."""

    heads: tuple[str, str]
    rows: tuple[tuple[str, str, str], ...]


@dataclass(frozen=True, slots=True)
class Line:
    """A thin line across."""


Block = Head | Pieces | Paragraph | Figures | Line


def ledger_blocks(scene: HoursScene, hours: float) -> tuple[Block, ...]:
    """Return the part of the ledger that follows the grip: the hour, ten pieces, the shade and its difference."""
    if all(strand.prospect is None for strand in scene.rows):
        return ()
    head = Head(title=tr("At {hours}", hours=spoken_hours(hours)), aside=f"{hours:.2f}\u00a0h", large=True)
    if scene.choice.both:
        blocks: list[Block] = [head]
        for number, strand in enumerate(scene.rows):
            blocks += ([Line()] if number else []) + _board_blocks(strand, hours)
        return tuple(blocks)
    lead = scene.lead
    if lead is None or lead.prospect is None:
        return (head,)
    moment = lead.prospect.at(hours)
    blocks = [head]
    if moment.ten is not None:
        whose = tr("ten pieces of {name}", name=strand_title(scene, lead).lower())
        blocks += [Pieces(ten=moment.ten, whose=whose), Paragraph(text=_pieces_paragraph(moment.ten))]
    blocks += [Line(), _figures(strand_title(scene, lead).lower(), moment, scene.target)]
    if scene.target is not None:
        blocks.append(Paragraph(text=_difference(moment, scene.target)))
    for strand in scene.strands[1:]:
        blocks += _other_zone(scene, strand, moment, hours)
    return tuple(blocks)


def _board_blocks(strand: Strand, hours: float) -> list[Block]:
    moment = strand.prospect.at(hours) if strand.prospect else None
    aside = "" if moment is None else unbroken(f"L* {format_value(moment.L)} {format_error(moment.L_sigma)}")
    blocks: list[Block] = [Head(title=board_title(strand.board), aside=aside, large=False)]
    if moment is None or moment.ten is None or strand.target is None:
        return [*blocks, Paragraph(text=tr("Nothing can be said of it yet."))]
    middle = tr("The middle one is {gap}.", gap=_lightness_gap(moment.L - strand.target.L, "the target"))
    blocks.append(
        Pieces(ten=moment.ten, whose=tr("ten pieces of {name}", name=tr("board {board}", board=strand.board)))
    )
    return [*blocks, Paragraph(text=f"{pieces_sentence(moment.ten, rest=False)} {middle}")]


def pieces_sentence(ten: TenPieces, *, rest: bool = True) -> str:
    """Return how many of ten such pieces are past the target, and with `rest` how many are still short.

    >>> pieces_sentence(TenPieces(past=3, hardly=1, few=False, many=False))
    'Of ten such pieces **three are past** the target, one hardly; seven still short.'
    >>> pieces_sentence(TenPieces(past=0, hardly=0, few=True, many=False), rest=False)
    'Of ten such pieces **fewer than one is past** the target.'
    """
    if ten.few:
        said, short = tr("**fewer than one is past** the target"), tr("nearly all still short")
    elif ten.many:
        said, short = tr("**nearly all are past** the target"), tr("fewer than one still short")
    else:
        words = of_ten_in_words(ten.past / 10)
        past = tr("**one is past** the target") if ten.past == 1 else tr("**{n} are past** the target", n=words)
        hardly = tr(", {n} hardly", n=of_ten_in_words(ten.hardly / 10)) if ten.hardly else ""
        said, short = past + hardly, tr("{n} still short", n=of_ten_in_words(1 - ten.past / 10))
    tail = f"; {short}" if rest else ""
    return tr("Of ten such pieces {said}{tail}.", said=said, tail=tail)


def _pieces_paragraph(ten: TenPieces) -> str:
    return f"{pieces_sentence(ten)} {tr(_FOR_GOOD)}"


def _figures(name: str, moment: Moment, target: Target | None) -> Figures:
    mine = ((moment.L, moment.L_sigma), (moment.a, moment.a_sigma), (moment.b, moment.b_sigma))
    wanted = (target.L, target.a, target.b) if target else (None, None, None)
    rows = [
        (label, _value(value, sigma), "–" if goal is None else format_value(goal))
        for label, (value, sigma), goal in zip(("L*", "a*", "b*"), mine, wanted, strict=True)
    ]
    return Figures(heads=(name, tr("target") if target else ""), rows=tuple(rows))


def _value(value: float | None, sigma: float | None) -> str:
    if value is None:
        return tr("not read")
    return format_value(value) + ("" if sigma is None else f"\u00a0{unbroken(format_error(sigma))}")


def _difference(moment: Moment, target: Target) -> str:
    gap = _lightness_gap(moment.L - target.L)
    delta_e = moment.delta_e(target)
    if delta_e is None or moment.a is None or moment.b is None or target.a is None or target.b is None:
        return tr("In lightness {gap}; the colour is not known.", gap=gap)
    split = split_difference((moment.L, moment.a, moment.b), (target.L, target.a, target.b))
    tone = _shade(split.chroma, tr("warm"), tr("warmer"), tr("greyer"))
    turn = "" if abs(split.hue) < _SHADES[1][0] else tr(", redder") if split.hue < 0 else tr(", yellower")
    return tr(
        "Colour difference **{value}**\u00a0ΔE00, {words}: {gap}, {tone}{turn}.",
        value=format_value(delta_e) if delta_e < MEANT_FOR else tr("over {end:g}", end=MEANT_FOR),
        words=difference_in_words(delta_e),
        gap=gap,
        tone=tone,
        turn=turn,
    )


def _shade(gap: float, same: str, more: str, less: str) -> str:
    word = more if gap > 0 else less
    for number, (end, form) in enumerate(_SHADES):
        if abs(gap) < end:
            return tr(form, word=same if number == 0 else word)
    return tr("much {word}", word=word)


def _lightness_gap(gap: float, than: str = "") -> str:
    if abs(gap) < _SAME_LIGHTNESS:
        return tr("as light as {than}", than=tr(than)) if than else tr("as light")
    word = tr("lighter") if gap > 0 else tr("darker")
    said = f"{format_value(abs(gap))}\u00a0{word}"
    return tr("{said} than {than}", said=said, than=tr(than)) if than else said


def _other_zone(scene: HoursScene, strand: Strand, lead: Moment, hours: float) -> list[Block]:
    if strand.prospect is None:
        return []
    gap = strand.prospect.at(hours).L - lead.L
    whole = format_value(abs(gap), 0 if abs(gap) >= 3 else 1)
    word = tr("lighter") if gap > 0 else tr("darker")
    name = strand_title(scene, strand)
    if strand.zone == "sapwood" and gap > 1:
        text = tr(
            "**{name}** is then {gap}\u00a0{word}; a tannin wash first closes part of that.",
            name=name,
            gap=whole,
            word=word,
        )
    else:
        text = tr("**{name}** is then {gap}\u00a0{word}.", name=name, gap=whole, word=word)
    return [Line(), Paragraph(text=text)]


def ledger_notes(scene: HoursScene) -> tuple[Block, ...]:
    """Return the part of the ledger that the grip leaves alone: other boards, what the samples say, what was found."""
    blocks: list[Block] = []
    if scene.choice.both:
        blocks += _slower(scene)
    for strand in scene.others:
        blocks += [Line(), Paragraph(text=_other_board(strand))]
    lead = scene.lead
    if lead is None or lead.group is None:
        return tuple(blocks)
    blocks += [Paragraph(text=unbroken(note), quiet=True, noted=True) for note in _notes(scene)]
    if lead.prospect is not None and lead.prospect.due is not None:
        following = lead.group.answer.next_sample
        said = [board_sentence(lead.group.answer), *([following.note] if following and following.worthwhile else [])]
        blocks += [Line(), *(Paragraph(text=unbroken(text), quiet=True) for text in said)]
    return tuple(blocks)


def _notes(scene: HoursScene) -> tuple[str, ...]:
    """What the answers have to say beside their hours, those of rows that do not lead with their name, each once."""
    notes: dict[str, None] = {}
    for number, strand in enumerate(scene.rows):
        for note in strand.group.answer.notes[_said_above(strand) :] if strand.group else ():
            if note not in notes:
                notes[f"**{strand_title(scene, strand)}.** {note}" if number or scene.choice.both else note] = None
    return (*notes, *scene.notes)


def _said_above(strand: Strand) -> int:
    """The first note of an answer without hours is the second line already, unless that asks for samples."""
    answered = strand.group is not None and strand.group.answer.outcome is Outcome.REACHED
    return 0 if answered or strand.prospect is None else 1


def _other_board(strand: Strand) -> str:
    name, found = board_title(strand.board), strand.prospect
    if found is None or found.outcome is Outcome.CANNOT_SAY:
        return tr("For **{name}** the hours cannot be said.", name=name[:1].lower() + name[1:])
    if found.due is None:
        return tr("**{name}** does not get there with this charge.", name=name)
    look = "" if found.look_from is None else tr(", look from {look}", look=spoken_down(found.look_from))
    due = tr("**{name}** is due at {due}{look}.", name=name, due=spoken_down(found.due), look=look)
    return f"{due} {tr('One tent, one hour: its parts want a run of their own.')}"


def _slower(scene: HoursScene) -> list[Block]:
    one, two = scene.rows
    if one.prospect is None or two.prospect is None or one.prospect.hours is None or two.prospect.hours is None:
        return []
    gap = two.prospect.hours - one.prospect.hours
    slower, faster = (two, one) if gap >= 0 else (one, two)
    error = (_hours_error(one) ** 2 + _hours_error(two) ** 2) ** 0.5
    text = tr(
        "{slower} is slower by **{gap}\u00a0±\u00a0{error}**. Apart, it loses nothing; nobody opens the tent in "
        "between, so each needs its own run.",
        slower=board_title(slower.board),
        gap=spoken_hours(abs(gap)),
        error=spoken_hours(error),
    )
    return [Line(), Paragraph(text=text)] if faster is not slower else []


def _hours_error(strand: Strand) -> float:
    """One sigma of the board's own hours, from its interval: the gap between boards is what the samples tell."""
    answer = strand.group.answer if strand.group else None
    if answer is None or answer.low is None or answer.hours is None:
        return 0.0
    width = answer.high - answer.low if answer.high is not None else 2 * (answer.hours - answer.low)
    return width / 3.29
