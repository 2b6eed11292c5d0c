"""Calibrate a camera from photos of the target lying alone."""

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from scribetarget.bundle import Bundle, PointView, adjust
from scribetarget.camera import Camera
from scribetarget.coverage import missing_views, tilts_deg
from scribetarget.errors import CameraError, SightingError
from scribetarget.lenscost import held_back_um, lens_cost_um
from scribetarget.pose import solve_view
from scribetarget.printscale import PrintScale
from scribetarget.priors import camera_from_exif
from scribetarget.sighting import Sighting
from scribetarget.spec import corner_positions_mm

Array = NDArray[np.float64]

FEWEST_PHOTOS = 4
# A focal length no better than this is hardly better than the photo's own record of it (3 %).
WORST_U_FOCAL = 0.01
# Photos all within so many degrees of one tilt do not part focal length from distance.
LEAST_TILT_SPREAD_DEG = 6.0
# As for a single photo: a sheet bent by more is no calibration target.
BENT_MM = 0.1
MORE = "Take 10 to 15 photos of the flat sheet, tilted 10 to 35 degrees to different sides."


@dataclass(frozen=True, slots=True)
class TargetPhoto:
    """One photo of the target alone, for calibrating.

    Attributes
    ----------
    name : str
        What to call the photo.
    sha256 : str
        Of its file.
    width_px, height_px : int
        Of the upright picture.
    camera_name : str
        Maker and model, or an empty string.
    focal_35mm : float or None
    sighting : Sighting
    """

    name: str
    sha256: str
    width_px: int
    height_px: int
    camera_name: str
    focal_35mm: float | None
    sighting: Sighting


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
    """

    name: str
    sha256: str
    corners: int
    rms_px: float
    tilt_deg: float


@dataclass(frozen=True, slots=True)
class Calibration:
    """A calibrated camera and how good it is.

    Attributes
    ----------
    camera : Camera
        Its source is ``"profile"``; the covariance is widened by how much the photos disagree.
    bundle : Bundle
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
    _refuse_mixture(photos)
    prior = _prior(photos)
    usable, left_out = _usable(photos, prior, scale)
    bundle = adjust([_points(photo.sighting) for photo in usable], prior, scale)
    bent = [residual > BENT_MM for residual in _residuals_mm(bundle)]
    if any(bent):
        left_out += [
            (photo.name, "the sheet was not flat")
            for photo, bad in zip(usable, bent, strict=True)
            if bad
        ]
        usable = [photo for photo, bad in zip(usable, bent, strict=True) if not bad]
        refuse_too_few(usable, left_out)
        bundle = adjust([_points(photo.sighting) for photo in usable], prior, scale)
    camera = _camera(bundle, prior)
    _refuse_alike(camera, bundle)
    return _calibration(camera, bundle, usable, left_out, (prior, scale))


def _refuse_mixture(photos: Sequence[TargetPhoto]) -> None:
    """Raise unless one camera saw one sheet in all photos."""
    _refuse_differences(
        photos,
        [f"{photo.width_px} by {photo.height_px} pixels" for photo in photos],
        "sizes_differ",
        "Use photos of one size, all upright or all across, as the camera saved them.",
    )
    _refuse_differences(
        photos,
        [photo.camera_name for photo in photos],
        "cameras_differ",
        "Use photos of one camera.",
    )
    _refuse_differences(
        photos,
        [f"{photo.focal_35mm:g} mm" if photo.focal_35mm else "" for photo in photos],
        "cameras_differ",
        "Use photos taken with one lens of the phone, without zoom.",
    )
    _refuse_differences(
        photos,
        [f"a sheet of size {photo.sighting.spec.size}" for photo in photos],
        "sheets_differ",
        "Photograph one sheet only: the bars are those of one sheet.",
    )


def _refuse_differences(
    photos: Sequence[TargetPhoto], facts: list[str], code: str, cure: str
) -> None:
    """Raise when a fact differs between photos; photos without it agree with all."""
    known = [(photo.name, fact) for photo, fact in zip(photos, facts, strict=True) if fact]
    for name, fact in known[1:]:
        if fact != known[0][1]:
            text = f"{known[0][0]} has {known[0][1]} and {name} has {fact}."
            raise CameraError(code, text, cure)


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
) -> tuple[list[TargetPhoto], list[tuple[str, str]]]:
    """Part the photos whose own pose can be solved from those that would spoil the rest."""
    usable: list[TargetPhoto] = []
    left_out: list[tuple[str, str]] = []
    for photo in photos:
        try:
            solve_view(photo.sighting, prior, scale)
        except SightingError as error:
            left_out.append((photo.name, error.text))
        else:
            usable.append(photo)
    refuse_too_few(usable, left_out)
    return usable, left_out


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


def _points(sighting: Sighting) -> PointView:
    flat = corner_positions_mm(sighting.spec, sighting.corner_ids)
    drawn = np.column_stack([flat, np.zeros(len(flat))])
    return PointView(drawn, sighting.corners_px, sighting.sigma_px)


def _rms_px(residuals: Array) -> float:
    return float(np.sqrt((residuals**2).sum(axis=1).mean()))


def _residuals_mm(bundle: Bundle) -> list[float]:
    return [
        _rms_px(rest[keep]) * float(pose[5]) / float(bundle.lens[0])
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
        PhotoResult(photo.name, photo.sha256, len(rest), _rms_px(rest), tilt)
        for photo, rest, tilt in zip(usable, kept, tilts, strict=True)
    )
    middling = sightings[int(np.argmin(np.abs(np.array(tilts) - 15.0)))]
    return Calibration(
        camera=camera,
        bundle=bundle,
        photos=results,
        left_out=tuple(left_out),
        rms_px=_rms_px(np.concatenate(kept)),
        held_back_um=held_back_um(sightings, camera, bundle.lens_without, scale),
        cost_um=lens_cost_um(middling, camera, scale),
        cost_uncalibrated_um=lens_cost_um(middling, prior, scale),
        advice=missing_views(bundle.poses, sightings, (camera.width_px, camera.height_px)),
    )
