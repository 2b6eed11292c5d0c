"""Calibrate a camera from photos of the target lying alone."""

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from scribetarget.bundle import Bundle, adjust, view_of_sighting
from scribetarget.camera import Camera
from scribetarget.coverage import missing_views, tilts_deg
from scribetarget.errors import CameraError, SightingError
from scribetarget.halfturn import oddest_photo, turned_photos
from scribetarget.lenscost import held_back_um, lens_cost_um
from scribetarget.lensvotes import lens_votes
from scribetarget.printscale import PrintScale
from scribetarget.priors import camera_from_exif
from scribetarget.sighting import Sighting
from scribetarget.targetphoto import TargetPhoto, refuse_mixture, turned_by_half

Array = NDArray[np.float64]

FEWEST_PHOTOS = 4
# A focal length no better than this is hardly better than the photo's own record of it (3 %).
WORST_U_FOCAL = 0.01
# Photos all within so many degrees of one tilt do not part focal length from distance.
LEAST_TILT_SPREAD_DEG = 6.0
# A sheet whose corners lie so far from a flat one's (RMS, in its plane) moves the focal length by
# about 0.1 %, a fifth of what refocusing does.
BENT_MM = 0.05
# Corners that scatter twice as wide as they were seen deserve a word.
ROUGH_CHI2 = 4.0
NOT_FLAT = "The sheet was not flat."
OTHER_LENS = (
    "It does not fit the lens that the others show: another camera or zoom, or a sheet that "
    "was not flat."
)
TAPE_IT = (
    "The corners fit less well than they are seen: tape the sheet down flat, and let no zoom or "
    "filter change between photos."
)
# Beyond this half of the sheet is out of focus in a phone held near.
STEEPEST_DEG = 50.0
MORE = "Take 10 to 15 photos of the flat sheet, tilted 10 to 35 degrees to different sides."


@dataclass(frozen=True, slots=True)
class PhotoResult:
    """How one photo took part.

    Attributes
    ----------
    name, sha256 : str
    corners : int
        Corners used.
    rms_px : float
        Of the distance of its corners from where the calibrated camera puts them.
    tilt_deg : float
        From straight down on the sheet.
    turned : bool
        Whether its picture was turned by half a turn to match the others.
    """

    name: str
    sha256: str
    corners: int
    rms_px: float
    tilt_deg: float
    turned: bool = False


@dataclass(frozen=True, slots=True)
class Calibration:
    """A calibrated camera and how good it is.

    Attributes
    ----------
    camera : Camera
        Its source is ``"profile"``; the covariance is widened by how much the photos disagree.
    bundle : Bundle
    sightings : tuple of Sighting
        What it was made from, in the order of the bundle and all the same way round.
    photos : tuple of PhotoResult
    left_out : tuple of (name, reason)
        Photos that could not be used.
    rms_px : float
        Over all corners.
    held_back_um : float
        RMS error of lengths over 50 mm of the sheet, each photo measured with the lens that the
        others give.
    cost_um, cost_uncalibrated_um : float
        Expanded uncertainty (k = 2) over 50 mm of plate that is due to the lens, with this camera
        and with only the photo's own record, in one photo of middling tilt.
    advice : tuple of str
        Which photos would make it better.
    """

    camera: Camera
    bundle: Bundle
    sightings: tuple[Sighting, ...]
    photos: tuple[PhotoResult, ...]
    left_out: tuple[tuple[str, str], ...]
    rms_px: float
    held_back_um: float
    cost_um: float
    cost_uncalibrated_um: float
    advice: tuple[str, ...]


def calibrate(photos: Sequence[TargetPhoto], scale: PrintScale) -> Calibration:
    """Calibrate one camera from several photos of one sheet.

    Parameters
    ----------
    photos : sequence of TargetPhoto
    scale : PrintScale
        Of the sheet in the photos.

    Returns
    -------
    Calibration

    Raises
    ------
    CameraError
        ``too_few_photos``, ``views_too_alike``, ``sizes_differ``, ``cameras_differ``,
        ``sheets_differ``.
    """
    refuse_mixture(photos)
    prior = _prior(photos)
    usable, alone, left_out = _usable(photos, prior, scale)
    while True:
        votes = lens_votes(alone, prior)
        pairs = zip(usable, turned_photos(votes), strict=True)
        aligned = [turned_by_half(photo) if turn else photo for photo, turn in pairs]
        bundle = adjust([view_of_sighting(photo.sighting) for photo in aligned], prior, scale)
        if max(_residuals_mm(bundle)) < BENT_MM:
            break
        odd = oddest_photo(votes)
        left_out.append((usable.pop(odd).name, OTHER_LENS))
        alone.pop(odd)
        refuse_too_few(usable, left_out)
    camera = _camera(bundle, prior)
    _refuse_alike(camera, bundle)
    return _calibration(camera, bundle, aligned, left_out, (prior, scale))


def _prior(photos: Sequence[TargetPhoto]) -> Camera:
    """Return what is known of the camera before; nothing is measured yet."""
    refuse_too_few(photos, [])
    names = [photo.camera_name for photo in photos if photo.camera_name]
    focals = [photo.focal_35mm for photo in photos if photo.focal_35mm]
    focal = focals[0] if focals else None
    first = photos[0]
    prior = camera_from_exif(first.width_px, first.height_px, focal, names[0] if names else "")
    return replace(prior, focal_35mm=focal)


def _usable(
    photos: Sequence[TargetPhoto], prior: Camera, scale: PrintScale
) -> tuple[list[TargetPhoto], list[Bundle], list[tuple[str, str]]]:
    """Part the photos that can be solved alone, with how, from those that would spoil the rest."""
    usable: list[TargetPhoto] = []
    alone: list[Bundle] = []
    left_out: list[tuple[str, str]] = []
    for photo in photos:
        try:
            bundle = adjust([view_of_sighting(photo.sighting)], prior, scale)
        except SightingError as error:
            left_out.append((photo.name, error.text))
            continue
        reason = _why_not(bundle)
        if reason:
            left_out.append((photo.name, reason))
        else:
            usable.append(photo)
            alone.append(bundle)
    refuse_too_few(usable, left_out)
    return usable, alone, left_out


def _why_not(alone: Bundle) -> str:
    """Return why a photo that was solved alone cannot be used, or an empty string."""
    (tilt,), (bent_mm,) = tilts_deg(alone.poses), _residuals_mm(alone)
    if tilt > STEEPEST_DEG:
        return f"Taken {tilt:.0f} degrees from straight above; {STEEPEST_DEG:.0f} is the most."
    return NOT_FLAT if bent_mm > BENT_MM else ""


def refuse_too_few(usable: Sequence[TargetPhoto], left_out: Sequence[tuple[str, str]]) -> None:
    """Raise ``too_few_photos`` with what was wrong with those left out (name, reason)."""
    if len(usable) < FEWEST_PHOTOS:
        reasons = "".join(f" {name}: {reason.rstrip('.')}." for name, reason in left_out)
        raise CameraError(
            "too_few_photos",
            f"Only {len(usable)} of the photos can be used, {FEWEST_PHOTOS} are the least."
            f"{reasons}",
            MORE,
        )


def _rms_px(residuals: Array) -> float:
    return float(np.sqrt((residuals**2).sum(axis=1).mean()))


def _residuals_mm(bundle: Bundle) -> list[float]:
    """Return how far each photo's corners lie off, on the sheet: RMS, or median if most do."""
    return [
        max(_rms_px(rest[keep]), float(np.median(np.hypot(*rest.T))))
        * float(pose[5])
        / float(bundle.lens[0])
        for rest, keep, pose in zip(bundle.residuals_px, bundle.kept, bundle.poses, strict=True)
    ]


def _camera(bundle: Bundle, prior: Camera) -> Camera:
    covariance = bundle.covariance[:9, :9] * max(1.0, bundle.photo_scatter)
    return replace(prior, values=bundle.lens, covariance=covariance, source="profile")


def _refuse_alike(camera: Camera, bundle: Bundle) -> None:
    """Raise when the photos do not tell a focal length from a distance."""
    u_focal = float(np.sqrt(camera.covariance[0, 0]) / camera.values[0])
    tilts = tilts_deg(bundle.poses)
    if u_focal > WORST_U_FOCAL or np.ptp(tilts) < LEAST_TILT_SPREAD_DEG > max(tilts):
        raise CameraError(
            "views_too_alike",
            f"The photos are too much alike: tilted {min(tilts):.0f} to {max(tilts):.0f} degrees, "
            f"they give the focal length to {100 * u_focal:.1f} % only.",
            MORE,
        )


def _calibration(
    camera: Camera,
    bundle: Bundle,
    usable: Sequence[TargetPhoto],
    left_out: Sequence[tuple[str, str]],
    known: tuple[Camera, PrintScale],
) -> Calibration:
    prior, scale = known
    sightings = [photo.sighting for photo in usable]
    kept = [rest[keep] for rest, keep in zip(bundle.residuals_px, bundle.kept, strict=True)]
    tilts = tilts_deg(bundle.poses)
    results = tuple(
        PhotoResult(photo.name, photo.sha256, len(rest), _rms_px(rest), tilt, photo.turned)
        for photo, rest, tilt in zip(usable, kept, tilts, strict=True)
    )
    rough = (TAPE_IT,) if bundle.reduced_chi2 > ROUGH_CHI2 else ()
    middling = sightings[int(np.argmin(np.abs(np.array(tilts) - 15.0)))]
    return Calibration(
        camera=camera,
        bundle=bundle,
        sightings=tuple(sightings),
        photos=results,
        left_out=tuple(left_out),
        rms_px=_rms_px(np.concatenate(kept)),
        held_back_um=held_back_um(sightings, camera, bundle.lens_without, scale),
        cost_um=lens_cost_um(middling, camera, scale),
        cost_uncalibrated_um=lens_cost_um(middling, prior, scale),
        advice=rough + missing_views(bundle.poses, sightings, (camera.width_px, camera.height_px)),
    )
