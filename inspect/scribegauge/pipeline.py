"""One way through: from photos to a reading. The only place where the whole chain is written out."""

from collections.abc import Mapping
from dataclasses import dataclass, field, replace

import numpy as np
from numpy.typing import NDArray

from scribegauge.construction.choice import chosen_by
from scribegauge.errors import PhotoError, UseError
from scribegauge.figure.assign import Placement, place_figure
from scribegauge.figure.elsewhere import Shown, refuse_elsewhere
from scribegauge.figure.fit import FigureFit, fit_figure
from scribegauge.figure.foundface import lay_on_found_face
from scribegauge.figure.hints import Hints, in_vain, place_by_hints
from scribegauge.figure.layout import Layout
from scribegauge.figure.layoutfile import fits_window
from scribegauge.figure.lineerrors import Row
from scribegauge.figure.merge import merge_lines
from scribegauge.figure.request import THICKNESS_ERROR_MM, Request
from scribegauge.marks.between import measure_between
from scribegauge.marks.condition import (
    Condition,
    blended,
    refuse_blown_out,
    refuse_noisy,
    refuse_smeared,
    smear_of,
)
from scribegauge.marks.glare import (
    hidden_share,
    is_glare_edge,
    seen_past,
)
from scribegauge.marks.hinted import seek_hinted
from scribegauge.marks.lamp import Lamp
from scribegauge.marks.lines import is_echo
from scribegauge.marks.metal import Metal
from scribegauge.marks.optics import through_coat
from scribegauge.marks.pricks import find_pricks
from scribegauge.marks.record import ArcMark, LineMark, Marks, PrickMark
from scribegauge.marks.seek import seek_line
from scribegauge.marks.survey import survey
from scribegauge.marks.worth import judge_marks, judge_sides
from scribegauge.photo.facts import day_taken
from scribegauge.photo.record import Photo
from scribegauge.plate.face import Face
from scribegauge.plate.outline import find_face
from scribegauge.report.compose import compose
from scribegauge.report.composeconstruction import with_construction
from scribegauge.report.composetrials import with_trials
from scribegauge.report.defects import Defects, find_defects, with_defects
from scribegauge.report.findings import with_finding
from scribegauge.report.hintwords import with_hints
from scribegauge.report.reading import Reading
from scribegauge.uncertainty.budget import make_budget
from scribetarget.camerafile import camera_for_photo
from scribetarget.detect import find_target
from scribetarget.errors import SightingError
from scribetarget.pose import solve_view
from scribetarget.printscale import (
    PrintScale,
    scale_from_bars,
    unmeasured_scale,
)
from scribetarget.priors import camera_from_exif
from scribetarget.sheetrecord import sheet_scale
from scribetarget.spec import TargetSpec

__all__ = ["THICKNESS_ERROR_MM", "Request", "check"]

# Share of the outline that must be scribed before the figure counts as found.
LEAST_SHARE = 0.4


@dataclass(frozen=True, slots=True)
class Look:
    """One photo as far as its marks; `hinted` are the lines found where a person pointed [mm]."""

    photo: Photo
    face: Face
    metal: Metal
    marks: Marks
    coated: bool
    condition: Condition
    lamp: Lamp | None
    hints_mm: Hints = field(default_factory=Hints)
    hinted: Mapping[int, LineMark | None] = field(default_factory=dict)


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
    chosen = chosen_by(request.layout)
    take = _look if len(photos) == 1 else _look_named
    looks = tuple(take(photo, request) for photo in photos)
    if request.hints:
        looks = tuple(map(_pointed_at, looks, request.hints))
    placement = _place(looks, request.layout)
    shown = [Shown(look.photo.name, look.marks, look.face.outline_mm) for look in looks]
    refuse_elsewhere(request.layout, placement, shown)
    rows = _side_lines(looks, request.layout, placement)
    merged = merge_lines(rows)
    pricks = _pricks(looks, fit_figure(request.layout, placement, merged, ()))
    fit = _judged_sides(looks, fit_figure(request.layout, placement, merged, pricks))
    marks = _judged(looks[0], fit, pricks)
    found = lay_on_found_face(rows, [look.face for look in looks], fit, marks)
    budget = make_budget(found.fit, found.faces)
    reading = compose(photos, found.faces, found.marks, found.fit, budget)
    reading = with_trials(reading, found.fit, found.faces, request.trials)
    reading = with_construction(reading, chosen, found.fit, found.marks, found.faces)
    reading = with_finding(reading, found.finding, looks[0].face)
    reading = with_defects(reading, _defects(looks, fit))
    pointed = [(look.hints_mm, look.hinted) for look in looks]
    return with_hints(reading, *in_vain(pointed, fit.pricks))


def _judged_sides(looks: tuple[Look, ...], fit: FigureFit) -> FigureFit:
    """Judge each side's line in the photo that has most to say of it."""
    best = fit.merged.weights[:, :, 0].argmax(axis=0)
    seen = [(look.photo.grey, look.face) for look in looks]
    pointed = {side for look in looks for side, line in look.hinted.items() if line is not None}
    lines = judge_sides(fit.merged.lines, [seen[k] for k in best])
    lines = tuple(line and replace(line, hinted=k in pointed) for k, line in enumerate(lines))
    return replace(fit, merged=replace(fit.merged, lines=lines))


def _pointed_at(look: Look, hints: Hints) -> Look:
    """Look where the person pointed."""
    there = hints.moved(look.face.plate_from_photo)
    lines = look.marks.lines
    hinted = seek_hinted(look.photo.grey, look.face, look.metal, lines, there.sides)
    return replace(look, hints_mm=there, hinted=hinted)


def _judged(look: Look, fit: FigureFit, pricks: tuple[PrickMark, ...]) -> Marks:
    """Judge all other marks of one photo."""
    sides = tuple(line for line in fit.merged.lines if line is not None)
    lines = tuple(_measure_again(look, line, line.ends_mm) for line in look.marks.lines)
    marks = replace(look.marks, lines=lines, pricks=pricks)
    return judge_marks(look.photo.grey, look.face, look.metal, marks, sides)


def _look_named(photo: Photo, request: Request) -> Look:
    """Take one photo of several as far as its marks, and say which one cannot be judged."""
    try:
        return _look(photo, request)
    except (PhotoError, SightingError) as error:
        raise type(error)(error.code, f"{photo.name}: {error.text}", error.cure) from error


def _look(photo: Photo, request: Request) -> Look:
    """Take one photo as far as its marks."""
    height, width = photo.grey.shape
    facts = photo.facts
    name = f"{facts.maker} {facts.model}".strip()
    if request.camera is None:
        camera = camera_from_exif(width, height, facts.focal_35mm, name)
    else:
        camera = camera_for_photo(request.camera, width, height, name, facts.focal_35mm)
    sighting = find_target(photo.grey)
    _refuse_too_large(request.layout, sighting.spec)
    view = solve_view(sighting, camera, _print_scale(photo, request, sighting.spec))
    face = find_face(photo, view, *request.height_mm, sighting.blur_px)
    smear = smear_of(sighting)
    refuse_smeared(face, smear)
    seen = survey(photo, face)
    condition = Condition(smear, sighting.noise / sighting.contrast, seen.glare)
    return Look(photo, face, seen.metal, seen.marks, seen.coated, condition, seen.lamp)


def _print_scale(photo: Photo, request: Request, spec: TargetSpec) -> PrintScale:
    """Return what is known of the sheet on the day of the photo."""
    if request.sheet is not None:
        return sheet_scale(request.sheet, spec, day_taken(photo.facts, request.today))
    if request.bars_mm:
        return scale_from_bars(spec, request.bars_mm, request.caliper_error_mm)
    return unmeasured_scale()


def _refuse_too_large(layout: Layout, spec: TargetSpec) -> None:
    """Raise when the plate in this window cannot carry the figure of this layout."""
    if not fits_window(layout, spec.window_mm):
        raise UseError(
            "figure_too_large",
            f"The figure of the layout file is larger than the {spec.window_mm:g} mm window of the "
            f"size {spec.size} sheet in the photo.",
            "Give the layout of this plate, with its lengths in millimetres.",
        )


def _place(looks: tuple[Look, ...], layout: Layout) -> Placement:
    """Lay the layout over the lines of all photos."""
    lines = [line.ends_mm for look in looks for line in look.marks.lines]
    lines += [line.ends_mm for look in looks for line in look.hinted.values() if line is not None]
    ends = np.array(lines).reshape(-1, 2, 2)
    placement = place_by_hints(layout.vertices_mm, ends, tuple(look.hints_mm for look in looks))
    if placement is not None:
        return placement
    placement = place_figure(layout.vertices_mm, ends)
    if placement is None or placement.score < LEAST_SHARE:
        for look in looks:
            refuse_blown_out(look.condition.glare)
            refuse_noisy(look.condition.noise_share)
        raise PhotoError(
            "figure_not_found",
            "The lines on this plate do not make up the figure of the layout file.",
            "Check that this layout belongs to this plate and is not its mirror image (y runs "
            "downwards); if so, take the photo again with the light low from another side, or point at "
            "its sides with --hints.",
        )
    return placement


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
    """Find the pricks of the first photo, closer where corners are and where a person pointed."""
    look = looks[0]
    known: tuple[LineMark | ArcMark, ...] = (*look.marks.lines, *look.marks.arcs)
    near = np.vstack([fit.places_mm, *(p for each in looks for p in each.hints_mm.pricks.values())])
    return find_pricks(look.photo.grey, look.face, look.metal, known, near, look.lamp)


def _seek(look: Look, side_mm: NDArray[np.float64]) -> LineMark | None:
    line = seek_line(look.photo.grey, look.face, look.metal, side_mm)
    if line is None or is_echo(line, look.marks.lines):
        return None
    return None if is_glare_edge(line, look.metal, look.condition.glare) else line
