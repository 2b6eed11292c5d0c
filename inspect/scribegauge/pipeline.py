"""One way through: from photos to a reading. The only place where the whole chain is written out."""

from dataclasses import replace

import numpy as np
from numpy.typing import NDArray

from scribegauge.construction.choice import chosen_by
from scribegauge.errors import PhotoError
from scribegauge.figure.assign import Placement, place_figure
from scribegauge.figure.elsewhere import Shown, refuse_elsewhere
from scribegauge.figure.fit import FigureFit, fit_figure
from scribegauge.figure.foundface import lay_on_found_face
from scribegauge.figure.hints import in_vain, place_by_hints
from scribegauge.figure.layout import Layout
from scribegauge.figure.lineerrors import Row
from scribegauge.figure.markplace import match_marks, place_marks
from scribegauge.figure.merge import merge_lines
from scribegauge.figure.relabel import Settled, refuse_several, settle_figure
from scribegauge.figure.request import THICKNESS_ERROR_MM, Request
from scribegauge.look import Look, look_at, look_named, pointed_at
from scribegauge.marks.between import measure_between
from scribegauge.marks.condition import (
    blended,
    refuse_blown_out,
    refuse_noisy,
)
from scribegauge.marks.glare import (
    hidden_share,
    is_glare_edge,
    seen_past,
)
from scribegauge.marks.lines import is_echo
from scribegauge.marks.optics import through_coat
from scribegauge.marks.pricks import find_pricks
from scribegauge.marks.record import ArcMark, LineMark, Marks, PrickMark
from scribegauge.marks.seek import seek_line
from scribegauge.marks.worth import judge_marks, judge_sides
from scribegauge.photo.record import Photo
from scribegauge.report.compose import compose
from scribegauge.report.composeconstruction import with_construction
from scribegauge.report.composefit import with_marks
from scribegauge.report.composetrials import with_trials
from scribegauge.report.defects import Defects, find_defects, with_defects
from scribegauge.report.findings import with_finding
from scribegauge.report.hintwords import with_hints
from scribegauge.report.reading import Reading
from scribegauge.uncertainty.budget import make_budget

__all__ = ["THICKNESS_ERROR_MM", "Request", "check"]

# Share of the outline that must be scribed before the figure counts as found.
LEAST_SHARE = 0.4
# And of circles and pricks where there is no outline: half of them by chance is not to be had.
LEAST_MARKS = 0.5


def check(photos: tuple[Photo, ...], request: Request) -> Reading:
    """Measure one plate from one or more photos of it.

    Parameters
    ----------
    photos : tuple of Photo
        The same plate lying still on the same sheet; lamp or camera moved between them.
    request : Request

    Raises
    ------
    PhotoError, scribetarget.errors.TargetError
        When a photo cannot be judged, with its cure; of several, the photo is named.
    UseError
        ``figure_too_large``.
    """
    refuse_several(request.layout, len(photos))
    chosen = chosen_by(request.layout)
    take = look_at if len(photos) == 1 else look_named
    looks = tuple(take(photo, request) for photo in photos)
    if request.hints:
        looks = tuple(map(pointed_at, looks, request.hints))
    settled = _place(looks, request.layout)
    layout, placement = settled.layout, settled.placement
    looks = (_sought(looks[0], layout, placement), *looks[1:])
    shown = [Shown(look.photo.name, look.marks, look.face.outline_mm) for look in looks]
    refuse_elsewhere(layout, placement, shown)
    rows = _side_lines(looks, layout, placement)
    merged = merge_lines(rows)
    pricks = _pricks(looks, fit_figure(layout, placement, merged, ()))
    fit = _judged_sides(looks, fit_figure(layout, placement, merged, pricks))
    marks = _judged(looks[0], fit, pricks)
    found = lay_on_found_face(rows, [look.face for look in looks], fit, marks)
    budget = make_budget(found.fit, found.faces)
    reading = compose(photos, found.faces, found.marks, found.fit, budget)
    reading = with_trials(reading, found.fit, found.faces, request.trials)
    reading = with_construction(reading, chosen, found.fit, found.marks, found.faces)
    reading = with_marks(reading, found.fit, found.marks, found.faces, settled)
    reading = with_finding(reading, found.finding, looks[0].face)
    reading = with_defects(reading, _defects(looks, fit))
    pointed = [(look.hints_mm, look.hinted) for look in looks]
    return with_hints(reading, *in_vain(pointed, fit.pricks))


def _sought(look: Look, layout: Layout, placement: Placement) -> Look:
    """Look again for lines of the layout that are no sides and were not found."""
    if not layout.marks.lines:
        return look
    matched = match_marks(layout.marks, placement, look.marks).lines
    ends = [np.array([line.from_mm, line.to_mm]) for line in layout.marks.lines]
    places = [
        placement.plate_from_layout(e) for e, k in zip(ends, matched, strict=True) if k is None
    ]
    found = [line for line in (_seek(look, place) for place in places) if line is not None]
    return replace(look, marks=replace(look.marks, lines=(*look.marks.lines, *found)))


def _judged_sides(looks: tuple[Look, ...], fit: FigureFit) -> FigureFit:
    """Judge each side's line in the photo that has most to say of it."""
    best = fit.merged.weights[:, :, 0].argmax(axis=0)
    seen = [(look.photo.grey, look.face) for look in looks]
    pointed = {side for look in looks for side, line in look.hinted.items() if line is not None}
    lines = judge_sides(fit.merged.lines, [seen[k] for k in best])
    lines = tuple(line and replace(line, hinted=k in pointed) for k, line in enumerate(lines))
    return replace(fit, merged=replace(fit.merged, lines=lines))


def _judged(look: Look, fit: FigureFit, pricks: tuple[PrickMark, ...]) -> Marks:
    """Judge all other marks of one photo."""
    sides = tuple(line for line in fit.merged.lines if line is not None)
    lines = tuple(_measure_again(look, line, line.ends_mm) for line in look.marks.lines)
    marks = replace(look.marks, lines=lines, pricks=pricks)
    return judge_marks(look.photo.grey, look.face, look.metal, marks, sides)


def _place(looks: tuple[Look, ...], layout: Layout) -> Settled:
    """Lay the layout over the marks of all photos."""
    marks = looks[0].marks
    if layout.marks.pricks:
        marks = replace(marks, pricks=_pricks_near(looks[0], np.zeros((0, 2))))
    settled = settle_figure(
        layout,
        lambda each: _laid(looks, each, marks),
        marks,
        looks[0].face.outline_mm,
        hinted=len({at for look in looks for at in look.hints_mm.vertices(len(layout.names))}) > 1,
    )
    if settled is None:
        for look in looks:
            refuse_blown_out(look.condition.glare)
            refuse_noisy(look.condition.noise_share)
        raise PhotoError(
            "figure_not_found",
            "The marks on this plate do not make up the figure of the layout file.",
            "Check that this layout belongs to this plate and is not its mirror image (y runs "
            "downwards); if so, take the photo again with the light low from another side, or point at "
            "its sides with --hints.",
        )
    return settled


def _laid(looks: tuple[Look, ...], layout: Layout, marks: Marks) -> Placement | None:
    """Lay a layout by its polygon's lines, or without one by its circles and pricks."""
    if not layout.names:
        placement = place_marks(layout.marks, marks)
        return placement if placement is not None and placement.score >= LEAST_MARKS else None
    lines = [line.ends_mm for look in looks for line in look.marks.lines]
    lines += [line.ends_mm for look in looks for line in look.hinted.values() if line is not None]
    ends = np.array(lines).reshape(-1, 2, 2)
    placement = place_by_hints(layout.vertices_mm, ends, tuple(look.hints_mm for look in looks))
    if placement is not None:
        return placement
    placement = place_figure(layout.vertices_mm, ends)
    return placement if placement is not None and placement.score >= LEAST_SHARE else None


def _side_lines(looks: tuple[Look, ...], layout: Layout, placement: Placement) -> list[Row]:
    """Find the line of every side in every photo, between its corners."""
    expected = placement.plate_from_layout(layout.vertices_mm)
    sides = np.stack([expected, np.roll(expected, -1, axis=0)], axis=1)
    seen = []
    for look in looks:
        lines = look.marks.lines
        chosen = placement.match(layout.vertices_mm, np.array([line.ends_mm for line in lines]))
        seen.append(
            [
                look.hinted.get(side) or (_seek(look, sides[side]) if k is None else lines[k])
                for side, k in enumerate(chosen)
            ]
        )
    corners = fit_figure(layout, placement, merge_lines(seen), ()).places_mm
    return [
        [
            line and _measure_again(look, line, corners[[k, (k + 1) % len(row)]])
            for k, line in enumerate(row)
        ]
        for look, row in zip(looks, seen, strict=True)
    ]


def _measure_again(look: Look, line: LineMark, side_mm: NDArray[np.float64]) -> LineMark:
    """Measure a line between two points on it, and say how far to trust what is seen of it."""
    line = measure_between(look.photo.grey, look.face, line, side_mm, look.lamp)
    line = through_coat(line) if look.coated else line
    line = blended(line, look.face, look.condition.smear)
    return seen_past(line, look.metal, look.condition.glare, side_mm)


def _defects(looks: tuple[Look, ...], fit: FigureFit) -> Defects:
    """Say what is wrong with the photos; a side that one of them shows whole is not hidden."""
    corners = fit.places_mm
    sides = np.stack([corners, np.roll(corners, -1, axis=0)], axis=1)
    hidden = [
        min(hidden_share(look.metal, look.condition.glare, side) for look in looks)
        for side in sides
    ]
    conditions = [look.condition for look in looks]
    return find_defects([look.face for look in looks], conditions, hidden, fit.layout.names)


def _pricks(looks: tuple[Look, ...], fit: FigureFit) -> tuple[PrickMark, ...]:
    """Find the pricks of the first photo, closer where they are meant and where a person pointed."""
    meant = [prick.at_mm for prick in fit.layout.marks.pricks]
    others = fit.placement.plate_from_layout(np.array(meant, np.float64).reshape(-1, 2))
    hinted = [place for look in looks for place in look.hints_mm.pricks.values()]
    return _pricks_near(looks[0], np.vstack([fit.places_mm, others, *hinted]))


def _pricks_near(look: Look, near_mm: NDArray[np.float64]) -> tuple[PrickMark, ...]:
    known: tuple[LineMark | ArcMark, ...] = (*look.marks.lines, *look.marks.arcs)
    return find_pricks(look.photo.grey, look.face, look.metal, known, near_mm, look.lamp)


def _seek(look: Look, side_mm: NDArray[np.float64]) -> LineMark | None:
    line = seek_line(look.photo.grey, look.face, look.metal, side_mm)
    if line is None or is_echo(line, look.marks.lines):
        return None
    return None if is_glare_edge(line, look.metal, look.condition.glare) else line
