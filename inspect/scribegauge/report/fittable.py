"""Circles, pricks and distances of a layout, and how it was laid, in the plain-text table."""

from collections.abc import Sequence

from scribegauge.report.columns import COLUMNS, Row, grid, paragraph
from scribegauge.report.fitreading import (
    CircleReading,
    DistanceReading,
    FitReading,
    LinePlaceReading,
    PlaceReading,
)
from scribegauge.report.reading import Reading
from scribegauge.report.words import DASH, decimals_for, shown_word, signed
from scribetarget.wording import digits, later, say

_UNMEASURED = 3
_TOLD = {
    "hints": later("The hints told which corner is which."),
    "marks": later("Other marks of the layout told which corner is which."),
    "edge": later("The plate's edge told which corner is which."),
    "nothing": later(
        "The figure lies alike on itself in {ways} ways; nothing on the plate tells which, so the "
        "names were given as it is turned least."
    ),
}


def fit_rows(reading: Reading) -> list[str]:
    """Set out circles, pricks and distances, each kind with its heads; empty without any."""
    blocks = [
        _circles(reading.circles),
        _centres(reading.circles),
        _places(say("Place [mm]"), reading.places),
        _places(say("Line [mm]"), reading.marked_lines),
        _distances(say("Distance [mm]"), reading.distances),
        _distances(say("At free size"), reading.fit.sides if reading.fit else ()),
        _fit(reading.fit),
    ]
    rows: list[str] = []
    for block in blocks:
        rows += ["", *block] if rows and block else block
    return rows


def fit_sentences(fit: FitReading | None) -> list[str]:
    """Say how the figure was laid, as far as that is anything out of the ordinary."""
    if fit is None:
        return []
    said = []
    if fit.scale is not None and fit.U_scale is not None:
        said.append(_scale(fit.scale, fit.U_scale))
    if fit.by != "best fit":
        said.append(say("Laid from side {side}.", side=fit.by.replace("-", DASH)))
    if fit.hand == "mirrored":
        said.append(say("The figure is the mirror image of the layout."))
    if fit.ways > 1:
        said.append(say(_TOLD[fit.told_by], ways=fit.ways))
    return said


def _scale(scale: float, expanded: float) -> str:
    percent, known = 100 * (scale - 1), 100 * expanded
    places = decimals_for(known)
    size = f"{digits(abs(percent), places)} ± {digits(known, places)} %"
    if abs(percent) <= known:
        return say("Size left free: it is right, to {size}.", size=size)
    if percent > 0:
        return say("Size left free: the figure is {size} too large.", size=size)
    return say("Size left free: the figure is {size} too small.", size=size)


def _circles(circles: Sequence[CircleReading]) -> list[str]:
    rows = [
        _sized(c.name, (c.intended_mm, c.measured_mm, c.deviation_mm, c.U_mm), c.verdict)
        for c in circles
    ]
    return grid(_heads(say("Radius [mm]")), rows) if rows else []


def _centres(circles: Sequence[CircleReading]) -> list[str]:
    rows = [
        _off(c.name, c.off_mm, c.U_off_mm, c.off_verdict) for c in circles if c.off_mm is not None
    ]
    return grid([say("Centre [mm]"), say("off place"), "U"], rows) if rows else []


def _places(head: str, places: Sequence[PlaceReading | LinePlaceReading]) -> list[str]:
    rows = [_off(p.name, p.off_mm, p.U_mm, p.verdict) for p in places]
    return grid([head, say("off place"), "U"], rows) if rows else []


def _distances(head: str, distances: Sequence[DistanceReading]) -> list[str]:
    rows = [
        _sized(
            DASH.join(d.between),
            (d.intended_mm, d.measured_mm, d.deviation_mm, d.U_mm),
            d.verdict,
        )
        for d in distances
    ]
    return grid(_heads(head), rows) if rows else []


def _fit(fit: FitReading | None) -> list[str]:
    return [row for said in fit_sentences(fit) for row in paragraph(f"- {said}", COLUMNS, "  ")]


def _heads(first: str) -> list[str]:
    return [first, say("intended"), say("measured"), say("deviation"), "U"]


def _sized(
    name: str, values: tuple[float, float | None, float | None, float | None], verdict: str | None
) -> Row:
    intended, measured, deviation, expanded = values
    wanted = digits(intended, _UNMEASURED)
    if measured is None or deviation is None:
        return Row(name, (wanted, DASH, DASH, DASH), shown_word("not seen"))
    if expanded is None:  # the side that all the others are laid from
        return Row(name, (wanted, digits(measured, _UNMEASURED), DASH, DASH))
    own = decimals_for(expanded)
    cells = (
        digits(intended, own),
        digits(measured, own),
        signed(deviation, expanded),
        digits(expanded, own),
    )
    return Row(name, cells, shown_word(verdict or ""))


def _off(name: str, off: float | None, expanded: float | None, verdict: str | None) -> Row:
    if off is None or expanded is None:
        return Row(name, (DASH, DASH), shown_word("not seen"))
    own = decimals_for(expanded)
    return Row(name, (digits(off, own), digits(expanded, own)), shown_word(verdict or ""))
