"""What a person should know about a reading before believing it."""

from collections.abc import Iterator, Sequence

import numpy as np
from numpy.typing import NDArray

from scribegauge.figure.fit import FigureFit
from scribegauge.plate.face import U_UNKNOWN_THICKNESS_MM, Face
from scribegauge.report.reading import Reason
from scribegauge.report.sheetwords import bars_outgrown
from scribetarget.wording import say

# Paper on a table rises by some hundredths of a millimetre. An eighth of what is refused (a bow of
# 0.1 mm over the sheet) makes U over 50 mm 0.03 mm, as much as all else together.
UNEVEN_MM = 0.05
# Longer over shorter side of pictures as cameras and phones save them: square, 4:3, 3:2, 16:9 and
# the proportions of screens.
WHOLE_PICTURES = (1.0, 4 / 3, 3 / 2, 16 / 9, 2.0, 18.5 / 9, 19 / 9, 19.5 / 9, 20 / 9)
# Picture sizes are rounded to multiples of 8 or 16 pixels: 16 in 4000.
ROUNDED = 0.004
# An approximate construction puts a line up to 0.4 mm aside (fixed-opening pentagon of 50 mm), a slip
# that spoils a layout 0.25 mm more (common practice, no source); what lies farther may be another
# line altogether.
FAR_ASIDE_MM = 0.8


def reading_reasons(faces: Sequence[Face], fit: FigureFit) -> tuple[Reason, ...]:
    """Return why a reading is to be taken with care; empty when nothing speaks against it.

    Parameters
    ----------
    faces : sequence of Face
    fit : FigureFit
    """
    return (
        *_not_given(faces[0]),
        *_not_as_saved(faces),
        *_uneven(faces),
        *_not_used(fit.merged.anchors_mm),
        *_not_seen(fit),
        *_far_aside(fit),
    )


def _not_given(face: Face) -> Iterator[Reason]:
    if not face.view.scale.known:
        yield Reason(
            "bars_not_measured",
            say(
                "The check bars were not measured, so only the shape can be trusted: lengths may be "
                "0.4 % off. Measure both bars with a caliper and give them with --bars."
            ),
        )
    elif face.view.scale.doubted:
        yield Reason(
            "bars_doubtful",
            say(
                "The photo shows the sheet stretched otherwise than the check bars say, so U allows for "
                "one of them being wrong. Measure both again, and give bar x, below the board, first."
            ),
        )
    yield from bars_outgrown(face.view.scale)
    if face.u_thickness_mm >= U_UNKNOWN_THICKNESS_MM:
        yield Reason(
            "thickness_not_given",
            say(
                "The plate's thickness was not given, so lengths are uncertain by about 0.5 %. "
                "Measure it with a caliper and give it with --thickness."
            ),
        )


def _not_as_saved(faces: Sequence[Face]) -> Iterator[Reason]:
    """Look for signs that a photo is a copy: its middle is then no longer the lens's middle."""
    cameras = [face.view.camera for face in faces]
    if any(camera.source == "guess" for camera in cameras):
        yield Reason(
            "lens_not_recorded",
            say(
                "The photo does not say which lens took it, so it may be a copy that was edited or sent "
                "by a messenger. Give the file as the camera saved it, or a profile with --camera."
            ),
        )
    sizes = [(c.width_px, c.height_px) for c in cameras if c.source != "profile"]
    cut = next((size for size in sizes if not _is_whole(*size)), None)
    if cut is not None:
        yield Reason(
            "photo_cropped",
            say(
                "A photo of {width} by {height} pixels has the proportions of no camera; if it was "
                "cropped, lengths may be wrong by more than U. Give it as the camera saved it.",
                width=cut[0],
                height=cut[1],
            ),
        )


def _uneven(faces: Sequence[Face]) -> Iterator[Reason]:
    """Tell of a sheet whose corners do not lie in one plane, once that is more than paper does."""
    ripple_mm = max(face.view.ripple_mm for face in faces)
    if ripple_mm > UNEVEN_MM:
        yield Reason(
            "sheet_uneven",
            say(
                "The sheet is not quite flat: its corners lie as on one bowed by {bow_mm:.1f} mm, and U "
                "allows for that. Lay it on something hard, tape its edges down, and take the photo "
                "again, as the camera saves it: a cropped picture looks like a bowed sheet.",
                bow_mm=2 * ripple_mm,
            ),
        )


def _is_whole(width_px: int, height_px: int) -> bool:
    ratio = max(width_px, height_px) / min(width_px, height_px)
    return any(abs(ratio / usual - 1) < ROUNDED for usual in WHOLE_PICTURES)


def _not_used(anchors_mm: NDArray[np.float64]) -> Iterator[Reason]:
    """Name photos without any of the sides' lines (P, n, 2, 2)."""
    seen: NDArray[np.bool_] = np.asarray(np.isfinite(anchors_mm).all(axis=(2, 3)))
    for photo in np.flatnonzero(~seen.any(axis=1)) if seen.shape[1] else ():
        yield Reason(
            "photo_not_used",
            say(
                "Photo {number} of {total} shows no side where the others show them and adds nothing. "
                "Leave the plate where it lies and move only lamp or camera.",
                number=int(photo) + 1,
                total=len(seen),
            ),
        )


def _not_seen(fit: FigureFit) -> Iterator[Reason]:
    names = fit.layout.names
    unseen = [
        f"{names[k]}\N{EN DASH}{names[(k + 1) % len(names)]}"
        for k, line in enumerate(fit.merged.lines)
        if line is None
    ]
    if unseen:
        yield Reason(
            "side_not_seen",
            say(
                "Not seen: {sides}. If the layout is this plate's figure and not its mirror image, take "
                "the photo again with the lamp low from another side, or give two photos with the lamp "
                "on opposite sides.",
                sides=", ".join(unseen),
            ),
        )


def far_aside(fit: FigureFit) -> NDArray[np.bool_]:
    """Tell of each side (n,) whether its line lies so far aside that it may be another line."""
    return np.asarray(np.nan_to_num(fit.aside_mm) > FAR_ASIDE_MM, np.bool_)


def _far_aside(fit: FigureFit) -> Iterator[Reason]:
    names = fit.layout.names
    for side in np.flatnonzero(far_aside(fit)):
        yield Reason(
            "line_far_aside",
            say(
                "The line taken for {side} lies {aside_mm:.1f} mm from where the other sides put it. See "
                "in the overlay whether it is that side, and not a construction line or a scratch.",
                side=f"{names[side]}\N{EN DASH}{names[(side + 1) % len(names)]}",
                aside_mm=fit.aside_mm[side],
            ),
        )
