"""Photos of the target alone, and whether they go together."""

from collections.abc import Sequence
from dataclasses import dataclass, replace

from scribetarget.errors import CameraError
from scribetarget.halfturn import half_turned_points
from scribetarget.sighting import Sighting


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
    turned : bool
        Whether the sighting is that of the picture turned by 180 degrees.
    """

    name: str
    sha256: str
    width_px: int
    height_px: int
    camera_name: str
    focal_35mm: float | None
    sighting: Sighting
    turned: bool = False


def turned_by_half(photo: TargetPhoto) -> TargetPhoto:
    """Return the photo as its picture would be after half a turn."""
    size = (photo.width_px, photo.height_px)
    corners = half_turned_points(photo.sighting.corners_px, size)
    sighting = replace(photo.sighting, corners_px=corners)
    return replace(photo, sighting=sighting, turned=not photo.turned)


def refuse_mixture(photos: Sequence[TargetPhoto]) -> None:
    """Raise unless one camera saw one sheet in all photos.

    Raises
    ------
    CameraError
        ``sizes_differ``, ``cameras_differ``, ``sheets_differ``.
    """
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
