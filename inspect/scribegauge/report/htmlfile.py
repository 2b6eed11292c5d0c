"""The report: one page that holds everything a reading says, to keep, print or send."""

import unicodedata
from dataclasses import dataclass
from functools import cache

from jinja2 import Environment, PackageLoader, StrictUndefined

from scribegauge.photo.record import Photo
from scribegauge.report.advice import Limits, limits_of
from scribegauge.report.cells import (
    LineCells,
    Measured,
    PrickCells,
    angle_cells,
    line_cells,
    prick_cells,
    side_cells,
)
from scribegauge.report.closeups import SHOWN_MM, SPAN, SPAN_MM, CloseUp, close_ups
from scribegauge.report.constructioncells import ConstructionCells, construction_cells
from scribegauge.report.jpeg import data_uri, jpeg_within
from scribegauge.report.markcells import (
    ArcCells,
    MeetingCells,
    QualityCells,
    arc_cells,
    meeting_cells,
    quality_cells,
    work_notes,
)
from scribegauge.report.overlay import figure_picture
from scribegauge.report.plot import LEFT, RIGHT, ROW, WIDTH, Plot, angle_plot, side_plot
from scribegauge.report.reading import Reading
from scribegauge.report.sentences import Verdict, notes_of, verdict_of
from scribegauge.report.settings import settings_of, when
from scribegauge.report.strokes import Picture
from scribegauge.report.words import DASH

# Base64 adds a third: a page of one overlay and seven corners stays below 700 kB.
_PICTURE_BYTES = 350_000
# Bidi overrides turn the order of letters round whatever they are isolated in; nothing in the text
# of a title needs them. Isolates, marks and joiners (in many an emoji) do no harm.
_OVERRIDES = frozenset("\u202a\u202b\u202c\u202d\u202e")
_JOINER = "\N{WORD JOINER}"


@dataclass(frozen=True, slots=True)
class Page:
    """Everything the template shows; `picture` is a data URI, empty where there is no photo."""

    reading: Reading
    title: str
    date: str
    verdict: Verdict
    picture: str
    drawn: bool
    sides: tuple[Measured, ...]
    angles: tuple[Measured, ...]
    plots: tuple[Plot, ...]
    lines: tuple[LineCells, ...]
    other_lines: int
    pricks: tuple[PrickCells, ...]
    arcs: tuple[ArcCells, ...]
    meetings: tuple[MeetingCells, ...]
    qualities: tuple[QualityCells, ...]
    work_notes: tuple[str, ...]
    close_ups: tuple[CloseUp, ...]
    notes: tuple[tuple[str, str], ...]
    limits: Limits | None
    settings: tuple[tuple[str, str], ...]
    construction: ConstructionCells | None

    @property
    def judged(self) -> bool:
        """Whether there was a tolerance to judge by."""
        reading = self.reading
        limits = (reading.tolerance_side_mm, reading.tolerance_angle_deg, reading.tolerance_class)
        return any(limit is not None for limit in limits)

    @property
    def banded(self) -> bool:
        """Whether a plot shows the tolerance: one that all its sides or angles have in common."""
        return any(plot.band is not None for plot in self.plots)

    @property
    def any_outside(self) -> bool:
        """Whether any side or angle is outside."""
        return any(row.word == "outside" for row in (*self.sides, *self.angles))


def write_report(photo: Photo | None, reading: Reading) -> bytes:
    """Write the page.

    Parameters
    ----------
    photo : Photo or None
        The first photo of the reading, upright; None where none could be read.
    reading : Reading
        A refusal gives a page too: why, and what to do about it.

    Returns
    -------
    bytes
        HTML in UTF-8 that needs nothing from elsewhere. The same photo and reading give the same
        bytes.
    """
    template = _environment().get_template("report.html.j2")
    page = page_of(photo, reading)
    drawing = {"WIDTH": WIDTH, "LEFT": LEFT, "RIGHT": RIGHT, "ROW": ROW}
    corner = {"SPAN": SPAN, "SPAN_MM": SPAN_MM, "SHOWN_MM": SHOWN_MM, "TICKS": _ticks()}
    return template.render(page=page, drawing=drawing, corner=corner).encode()


def page_of(photo: Photo | None, reading: Reading) -> Page:
    """Put together what the page shows."""
    drawn = photo is not None and reading.plate is not None
    plots = (side_plot(reading), angle_plot(reading))
    first = reading.photos[0] if reading.photos else None
    return Page(
        reading=reading,
        title=reading.title or (first.name if first else "Scribed plate"),
        date=when(first.taken) if first else "no date",
        verdict=verdict_of(reading),
        picture=""
        if photo is None
        else data_uri(jpeg_within(_seen(photo, reading), _PICTURE_BYTES)),
        drawn=drawn,
        sides=side_cells(reading),
        angles=angle_cells(reading),
        plots=tuple(plot for plot in plots if plot is not None),
        lines=line_cells(reading),
        other_lines=sum(not line.side for line in reading.lines),
        pricks=prick_cells(reading),
        arcs=arc_cells(reading),
        meetings=meeting_cells(reading),
        qualities=quality_cells(reading),
        work_notes=work_notes(reading),
        close_ups=() if photo is None else close_ups(photo, reading),
        notes=notes_of(reading),
        limits=limits_of(reading),
        settings=settings_of(reading),
        construction=construction_cells(reading.construction),
    )


def _seen(photo: Photo, reading: Reading) -> Picture:
    return photo.rgb if reading.plate is None else figure_picture(photo, reading)


@cache
def _environment() -> Environment:
    # Set for every name: Jinja's own choice by ending does not know `.html.j2` and escapes nothing.
    environment = Environment(
        loader=PackageLoader("scribegauge.report"),
        autoescape=True,
        undefined=StrictUndefined,
        finalize=_clean,
        trim_blocks=True,
        lstrip_blocks=True,
    )
    environment.filters["unbroken"] = unbroken
    return environment


def unbroken(text: str) -> str:
    """Keep names such as ``A–B`` on one line: browsers may break after a dash."""
    return text.replace(DASH, f"{DASH}{_JOINER}")


def _clean(value: object) -> object:
    """Drop from text what no page can hold (control characters, halves of a character)."""
    if not isinstance(value, str) or hasattr(value, "__html__"):
        return value
    if value.isascii() and value.isprintable():  # most are, the long data of pictures among them
        return value
    return "".join(" " if c in "\t\r\n" else c for c in value if _holds(c))


def _holds(character: str) -> bool:
    if character in "\t\r\n":
        return True
    return unicodedata.category(character) not in {"Cc", "Cs"} and character not in _OVERRIDES


def _ticks() -> str:
    """Draw the scales of a close-up as one path: a tick each 0.1 mm, longer each 0.5 and 1 mm."""
    strokes = []
    for k in range(1, round(SPAN_MM * 10)):
        at = f"{k * SPAN / (SPAN_MM * 10):g}"
        long = 14 if k % 10 == 0 else 10 if k % 5 == 0 else 6
        strokes.append(f"M{at} {SPAN:g}v-{long}M0 {at}h{long}")
    return "".join(strokes)
