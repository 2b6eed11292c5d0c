"""What focus, shake, light and glare did to the photo of a plate, and what that costs its lines."""

from dataclasses import dataclass, replace

import numpy as np

from scribegauge.errors import PhotoError
from scribegauge.marks.glare import Glare
from scribegauge.marks.record import LineMark
from scribegauge.plate.face import Face
from scribetarget.sighting import Sighting
from scribetarget.smear import Smear
from scribetarget.wording import say

# What lies this far from a line's middle is taken for bare metal.
BARE_MM = 0.3
# Two standard deviations of blur and half a groove must lie within that: of the widest groove (0.15 mm)
# before a warning, of the narrowest (0.08 mm) before a refusal.
SOFT_BLUR_MM, WIDEST_BLUR_MM = (BARE_MM - 0.075) / 2, (BARE_MM - 0.04) / 2
# More than half of the smear is movement: the long axis squared is over twice the short one squared.
MOVED_RATIO = np.sqrt(2)
# Something else within half the blur's width at half height (a burr, a scratch, a second stroke) and
# as strong as the groove draws what is seen by half its distance: rectangular.
U_BLENDED = 2.355 / 2 / 2 / np.sqrt(3)
# Beside the 0.022 mm that a groove's walls cost a line, this makes its U a tenth wider: worth telling.
TOLD_MM = 0.01
# A groove has about a tenth of the contrast between ink and paper: noise of as much in every pixel
# leaves faint ones unseen.
NOISY = 0.1
# What of the face may be full scale: with more, what is left is the exception.
MOST_BLOWN_OUT = 0.5
# Seen over less than three quarters, the line's place at the hidden corner is nearly twice as
# uncertain: sqrt((1 + 3 (2 / q - 1)²) / q) over 2 is 1.8 for q = 0.75.
MOST_HIDDEN = 0.25


@dataclass(frozen=True, slots=True)
class Condition:
    """The state of one photo.

    Attributes
    ----------
    smear : Smear
        Its point spread.
    noise_share : float
        Noise of single pixels over the contrast between ink and paper.
    glare : Glare
        Where the plate is blown out.
    """

    smear: Smear
    noise_share: float
    glare: Glare


def smear_of(sighting: Sighting) -> Smear:
    """Return a picture's point spread; the same all round where only its size is known."""
    even = Smear(sighting.blur_px, sighting.blur_px, 0.0)
    return even if sighting.smear is None else sighting.smear


def refuse_smeared(face: Face, smear: Smear) -> None:
    """Raise when lines are smeared so wide that a groove and the metal beside it run together.

    Raises
    ------
    PhotoError
        ``moved`` when most of it points one way, else ``blurred``.
    """
    blur = widest_blur_mm(face, smear)
    if blur <= WIDEST_BLUR_MM:
        return
    smear_mm = 2.355 * blur
    if is_moved(smear):
        path_mm = smear.path_px / face.scale_px_per_mm
        raise PhotoError(
            "moved",
            say(
                "The phone moved while it took the photo, by {path_mm:.1f} mm on the plate; that smears "
                "every line over {smear_mm:.1f} mm, several times a groove's width.",
                path_mm=path_mm,
                smear_mm=smear_mm,
            ),
            say(
                "Rest the phone or your elbows on something, bring a lamp nearer so that the exposure "
                "is shorter, and use the self-timer."
            ),
        )
    raise PhotoError(
        "blurred",
        say(
            "The photo smears every line over {smear_mm:.1f} mm, several times a groove's width.",
            smear_mm=smear_mm,
        ),
        say(
            "Tap on the plate to focus, come closer so that the target fills the picture, hold still, "
            "and send the photo unshrunk."
        ),
    )


def refuse_blown_out(glare: Glare) -> None:
    """Raise ``blown_out`` when most of the plate is full scale; call it when the figure was not found."""
    if glare.share > MOST_BLOWN_OUT:
        raise PhotoError(
            "blown_out",
            say(
                "The plate is overexposed: {percent:.0f} % of it is plain white in the photo.",
                percent=100 * glare.share,
            ),
            say(
                "Tap on the plate so that the phone exposes for it, or turn the exposure down, and "
                "move the lamp or the phone until no reflection covers the plate."
            ),
        )


def refuse_noisy(noise_share: float) -> None:
    """Raise ``too_dark`` when noise hides what should be seen; call it when the figure was not found."""
    if noise_share > NOISY:
        raise PhotoError(
            "too_dark",
            say(
                "The photo is too dark: its noise is {percent:.0f} % of the contrast between ink and "
                "paper, and no groove stands out of that.",
                percent=100 * noise_share,
            ),
            say(
                "Bring a lamp nearer or turn it up, and tap on the plate so that the phone exposes for it."
            ),
        )


def is_moved(smear: Smear) -> bool:
    """Tell whether most of the smear points one way."""
    return bool(smear.along_px > MOVED_RATIO * smear.across_px)


def widest_blur_mm(face: Face, smear: Smear) -> float:
    """Return the blur across a line that lies worst to the smear (standard deviation)."""
    return _on_plate_mm(face, smear.along_px)


def blur_across_mm(face: Face, smear: Smear, line: LineMark) -> float:
    """Return the blur across one line (standard deviation)."""
    ends = face.photo_from_plate(line.ends_mm)
    step = ends[1] - ends[0]
    aslant = float(np.arctan2(step[1], step[0])) + np.pi / 2 - smear.direction_rad
    size = np.hypot(smear.along_px * np.cos(aslant), smear.across_px * np.sin(aslant))
    return _on_plate_mm(face, float(size))


def u_blended_mm(blur_mm: float) -> float:
    """Return how uncertain a blur makes the place of a line, 0 up to that of a photo sharp enough."""
    return float(U_BLENDED * np.sqrt(max(blur_mm**2 - SOFT_BLUR_MM**2, 0.0)))


def blended(line: LineMark, face: Face, smear: Smear) -> LineMark:
    """Return a line with what a soft photo may have drawn into it, nothing where it is sharp enough."""
    u_mm = u_blended_mm(blur_across_mm(face, smear, line))
    if u_mm == 0:
        return line
    return replace(line, u_optics_mm=float(np.hypot(line.u_optics_mm, u_mm)))


def _on_plate_mm(face: Face, blur_px: float) -> float:
    """Take a blur to the plate; linear interpolation between pixels adds 1/6 px² on average."""
    return float(np.sqrt(blur_px**2 + 1 / 6)) / face.scale_px_per_mm
