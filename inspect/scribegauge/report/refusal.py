"""The reading of a photo that could not be judged."""

from scribegauge.errors import ScribegaugeError
from scribegauge.photo.record import Photo
from scribegauge.report.reading import PhotoReading, Reading, Reason


def reason_of(error: ScribegaugeError) -> Reason:
    """Turn an error into a reason: its code, and what is wrong with its cure."""
    return Reason(error.code, f"{error.text} {error.cure}")


def photo_reading(photo: Photo, camera: str) -> PhotoReading:
    """Say which photo was read.

    Parameters
    ----------
    photo : Photo
    camera : str
        Name of the camera profile, or how the lens was guessed without one.
    """
    height_px, width_px = photo.grey.shape
    facts = photo.facts
    return PhotoReading(photo.name, photo.sha256, width_px, height_px, facts.taken, camera)


def refusal(
    reasons: tuple[Reason, ...], title: str, photos: tuple[PhotoReading, ...], program: str
) -> Reading:
    """Make the reading that says no more than why there is none.

    Parameters
    ----------
    reasons : tuple of Reason
        At least one.
    title : str
        Of the layout; empty when it was not read.
    photos : tuple of PhotoReading
        As many as were opened; empty when none was.
    program : str
        Name and version.

    Raises
    ------
    ValueError
        Without a reason: a refusal nobody can act on is a bug.
    """
    if not reasons:
        raise ValueError("a refusal needs a reason")
    return Reading("refused", reasons, title, photos, None, (), (), (), (), (), program)
