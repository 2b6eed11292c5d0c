"""The report: one page that holds everything a reading says, to keep, print or send."""

from dataclasses import dataclass
from functools import cache

from jinja2 import Environment, PackageLoader, StrictUndefined
from markupsafe import Markup

from scribegauge.photo.record import Photo
from scribegauge.report import closeupwords, drawingstyle, reportwords
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
from scribegauge.report.cleantext import clean
from scribegauge.report.closeupdrawing import close_up_drawing, key_samples
from scribegauge.report.closeups import SPAN_MM, CloseUp, close_ups
from scribegauge.report.constructioncells import ConstructionCells, construction_cells
from scribegauge.report.drawing import Drawing
from scribegauge.report.frame import straight_frame
from scribegauge.report.jpeg import PICTURE_BYTES, data_uri, jpeg_within
from scribegauge.report.markcells import (
    ArcCells,
    MeetingCells,
    QualityCells,
    arc_cells,
    meeting_cells,
    quality_cells,
    work_notes,
)
from scribegauge.report.overlay import figure_drawing
from scribegauge.report.overlaywords import described
from scribegauge.report.plot import Plot, angle_plot, side_plot
from scribegauge.report.plotdrawing import plot_drawing
from scribegauge.report.reading import Reading
from scribegauge.report.scene import scene_of
from scribegauge.report.sentences import Verdict, notes_of, verdict_of
from scribegauge.report.settings import settings_of, when
from scribegauge.report.svgdrawing import svg_element
from scribegauge.report.words import DASH, shown_word
from scribetarget.wording import spoken

_JOINER = "\N{WORD JOINER}"


@dataclass(frozen=True, slots=True)
class Page:
    """Everything page and PDF show.

    `overlay` is None where nothing could be drawn; `photo` is then the photo, None without one.
    """

    reading: Reading
    title: str
    date: str
    verdict: Verdict
    overlay: Drawing | None
    described: str
    photo: Photo | None
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
    return template.render(page=page, **_drawn(page)).encode()


def _drawn(page: Page) -> dict[str, object]:
    """Write all drawings of the page as SVG, and the style sheet's colours."""
    picture = "" if page.overlay is None else svg_element(page.overlay, page.described)
    photo = "" if page.photo is None else data_uri(jpeg_within(page.photo.rgb, PICTURE_BYTES))
    return {
        "say": reportwords,
        "language": spoken().tag,
        "overlay": Markup(picture),  # noqa: S704 - svg_element escapes every string
        "photo": photo,
        "plots": [(plot.title, _svg(plot_drawing(plot), plot_label(plot))) for plot in page.plots],
        "corners": [(each, _svg(close_up_drawing(each), _corner(each))) for each in page.close_ups],
        "corner_key": [(_svg(drawing, ""), text) for drawing, text in corner_key(page)],
        "corners_title": closeupwords.heading(SPAN_MM),
        "corners_note": closeupwords.NOTE,
        "colours": {
            name.lower(): drawingstyle.hexadecimal(getattr(drawingstyle, name))
            for name in ("INK", "SOFT", "RULE", "BLUE", "RED", "GROUND")
        },
    }


def _svg(drawing: Drawing, title: str) -> Markup:
    return Markup(svg_element(drawing, title))  # noqa: S704 - svg_element escapes every string


def plot_label(plot: Plot) -> str:
    """Describe a plot for whoever does not see it."""
    return reportwords.plot_described(plot.title)


def _corner(close_up: CloseUp) -> str:
    return closeupwords.described(close_up.name, pricked=bool(close_up.rings))


def corner_key(page: Page) -> tuple[tuple[Drawing, str], ...]:
    """Give the meaning of each kind of stroke in the corners."""
    return key_samples(
        pricked=any(each.rings for each in page.close_ups),
        passed=any(each.passing for each in page.close_ups),
    )


def page_of(photo: Photo | None, reading: Reading) -> Page:
    """Put together what page and PDF show."""
    plots = (side_plot(reading), angle_plot(reading))
    first = reading.photos[0] if reading.photos else None
    overlay, words = _overlay(photo, reading)
    return Page(
        reading=reading,
        title=reading.title or (first.name if first else reportwords.NO_TITLE),
        date=when(first.taken) if first else reportwords.NO_DATE,
        verdict=verdict_of(reading),
        overlay=overlay,
        described=words,
        photo=photo if overlay is None else None,
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


def _overlay(photo: Photo | None, reading: Reading) -> tuple[Drawing | None, str]:
    if photo is None or reading.plate is None:
        return None, ""
    frame = straight_frame(reading)
    drawing = figure_drawing(photo, reading, frame)
    return drawing, described(reading, scene_of(reading, frame).factor)


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
    environment.filters["shown"] = shown_word
    return environment


def unbroken(text: str) -> str:
    """Keep names such as ``A–B`` on one line: browsers may break after a dash."""
    return text.replace(DASH, f"{DASH}{_JOINER}")


def _clean(value: object) -> object:
    """Drop from text what no page can hold; markup made by the program is left as it is."""
    if not isinstance(value, str) or hasattr(value, "__html__"):
        return value
    return clean(value)
