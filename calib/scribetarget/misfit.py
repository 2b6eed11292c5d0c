"""Views that cannot carry a measurement: which they are, and what to do about it."""

from dataclasses import replace

import numpy as np

from scribetarget.camera import Camera
from scribetarget.errors import SightingError
from scribetarget.lens import rotation_matrix
from scribetarget.priors import camera_from_exif
from scribetarget.view import View
from scribetarget.wording import say

# Beyond this a square is foreshortened to less than 0.7 of its length, and the far side of the ring
# is out of focus in a phone held that near.
STEEPEST_DEG = 45.0
# A surface this high (a bow of twice as much over the sheet) makes U over 50 mm 0.2 to 0.3 mm, as
# much as bars that nobody measured: no judgement is left. Ordinary cockles of 0.1 mm stay below.
HIGHEST_RIPPLE_MM = 0.4


def loosened(camera: Camera) -> Camera:
    """Return a profile with no more certainty than a camera that nobody calibrated."""
    anyone = camera_from_exif(camera.width_px, camera.height_px, 27.0, camera.name)
    relative = camera.values[0] / anyone.values[0]
    size = np.array([relative, *[1.0] * 8])
    covariance = anyone.covariance * np.outer(size, size) + camera.covariance
    return replace(camera, covariance=covariance, source="exif")


def misfit(camera: Camera) -> SightingError:
    """Return the error for a profile that is not this photo's camera."""
    text = say("The camera file does not fit this photo: its lens would not show the target so.")
    if camera.name:
        whose = say("It is for {camera}.", camera=camera.name)
        text = f"{text} {whose}"
    return SightingError(
        "camera_misfit",
        text,
        say(
            "Use the file of the phone and lens that took the photo, calibrate anew if the photo was "
            "cropped or zoomed, or leave --camera out."
        ),
    )


def refuse_unusable(view: View) -> None:
    """Raise when a view cannot carry a measurement.

    Raises
    ------
    SightingError
        ``pose_impossible``, ``too_steep``, ``sheet_not_flat``.
    """
    facing = float(rotation_matrix(view.values[9:12])[2, 2])
    if view.values[14] <= 0 or facing <= 0 or not np.isfinite(view.covariance).all():
        raise SightingError(
            "pose_impossible",
            say("The target's corners do not fit any view of a flat sheet."),
            say("Lay the sheet flat and take the photo again."),
        )
    tilt = float(np.degrees(np.arccos(min(facing, 1.0))))
    if tilt > STEEPEST_DEG:
        raise SightingError(
            "too_steep",
            say(
                "The photo was taken {tilt_deg:.0f} degrees from straight above; more than "
                "{most_deg:.0f} is too steep to measure.",
                tilt_deg=tilt,
                most_deg=STEEPEST_DEG,
            ),
            say(
                "Hold the phone so that it looks down on the plate, 10 to 20 degrees from straight."
            ),
        )
    refuse_bent(view.ripple_mm)


def refuse_bent(ripple_mm: float) -> None:
    """Raise ``sheet_not_flat`` when a surface is too high to measure on."""
    if ripple_mm > HIGHEST_RIPPLE_MM:
        raise SightingError(
            "sheet_not_flat",
            say(
                "The sheet is not flat: its corners lie as on one bowed by {bow_mm:.1f} mm.",
                bow_mm=2 * ripple_mm,
            ),
            say(
                "Lay the sheet flat on something hard, tape its edges down, and take the photo again. "
                "Give it as the camera saved it: a cropped picture looks like a bent sheet."
            ),
        )
