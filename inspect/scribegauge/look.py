"""One photo as far as its marks: target, pose, plate, lines and arcs."""

from collections.abc import Mapping
from dataclasses import dataclass, field, replace

from scribegauge.errors import PhotoError, UseError
from scribegauge.figure.hints import Hints
from scribegauge.figure.layout import Layout
from scribegauge.figure.layoutfile import fits_window
from scribegauge.figure.request import Request
from scribegauge.marks.condition import Condition, refuse_smeared, smear_of
from scribegauge.marks.hinted import seek_hinted
from scribegauge.marks.lamp import Lamp
from scribegauge.marks.metal import Metal
from scribegauge.marks.record import LineMark, Marks
from scribegauge.marks.survey import survey
from scribegauge.photo.facts import day_taken
from scribegauge.photo.record import Photo
from scribegauge.plate.face import Face
from scribegauge.plate.outline import find_face
from scribetarget.camerafile import camera_for_photo
from scribetarget.detect import find_target
from scribetarget.errors import SightingError
from scribetarget.pose import solve_view
from scribetarget.printscale import PrintScale, scale_from_bars, unmeasured_scale
from scribetarget.priors import camera_from_exif
from scribetarget.sheetrecord import sheet_scale
from scribetarget.spec import TargetSpec


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


def look_named(photo: Photo, request: Request) -> Look:
    """Take one photo of several as far as its marks, and say which one cannot be judged.

    Raises
    ------
    PhotoError, scribetarget.errors.SightingError
        As `look_at`, with the photo's name.
    """
    try:
        return look_at(photo, request)
    except (PhotoError, SightingError) as error:
        raise type(error)(error.code, f"{photo.name}: {error.text}", error.cure) from error


def look_at(photo: Photo, request: Request) -> Look:
    """Take one photo as far as its marks.

    Parameters
    ----------
    photo : Photo
    request : Request

    Raises
    ------
    PhotoError, scribetarget.errors.TargetError
        When it cannot be judged.
    UseError
        ``figure_too_large``.
    """
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


def pointed_at(look: Look, hints: Hints) -> Look:
    """Look where the person pointed."""
    there = hints.moved(look.face.plate_from_photo)
    lines = look.marks.lines
    hinted = seek_hinted(look.photo.grey, look.face, look.metal, lines, there.sides)
    return replace(look, hints_mm=there, hinted=hinted)
