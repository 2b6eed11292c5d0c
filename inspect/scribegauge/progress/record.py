"""What progress goes by: the numbers of one plate that can be compared with another's."""

from dataclasses import dataclass
from datetime import date

#: Raised whenever `score_of` counts otherwise, so that kept scores are worked out again.
RULES = 1


@dataclass(frozen=True, slots=True)
class Measured:
    """A number of one plate, in the unit its name ends in.

    Attributes
    ----------
    value : float
    U : float
        Expanded uncertainty (k = 2).
    U_shared : float
        The part of it that all photos of the same camera and sheet have in common.
    """

    value: float
    U: float
    U_shared: float


@dataclass(frozen=True, slots=True)
class Finding:
    """What the hand did at one step of a construction; `kind` is a stable name."""

    kind: str
    number: int
    text: str


@dataclass(frozen=True, slots=True)
class Score:
    """What one plate says of the hand; None where the photo does not tell.

    Attributes
    ----------
    rules : int
    title, method : str
        The layout's title; the construction's name, empty without one.
    figure : str
        The same for figures that differ in size, place, turn or side only.
    size_mm : float
        Mean intended side.
    camera, sheet : str
        By which lens and which printed sheet it was measured.
    side_rms_mm, side_largest_mm, angle_rms_deg, line_width_mm, prick_mm : Measured or None
        Root of the mean square error of the sides, of the angles, and of how far pricks are off
        their corners, each less what measuring alone adds; the largest side error; the mean width.
        With a construction errors are the hand's: the perfect method's are taken out.
    long_mm : Measured or None
        Mean signed side error: + is too long as a rule.
    aside_mm, turned_mrad : Measured or None
        How far lines lie to the right of their pricks, and are turned clockwise from them.
    opening_mm : Measured or None
        By how much each side of a stepped figure is longer than the one before.
    corners : tuple of (name, error in degrees)
        Empty where a figure looks the same after a turn, so that no corner can be told from others.
    u_corner_deg : float
        Standard uncertainty of those, root mean square.
    outside, undecided, within : int
        Verdicts of sides and angles.
    findings : tuple of Finding
    tolerance_mm : float or None
        Of a side.
    """

    rules: int
    title: str
    method: str
    figure: str
    size_mm: float
    camera: str
    sheet: str
    side_rms_mm: Measured | None
    side_largest_mm: Measured | None
    angle_rms_deg: Measured | None
    line_width_mm: Measured | None
    prick_mm: Measured | None
    long_mm: Measured | None
    aside_mm: Measured | None
    turned_mrad: Measured | None
    opening_mm: Measured | None
    corners: tuple[tuple[str, float], ...]
    u_corner_deg: float
    outside: int
    undecided: int
    within: int
    findings: tuple[Finding, ...]
    tolerance_mm: float | None


@dataclass(frozen=True, slots=True)
class Attempt:
    """One plate of one pupil."""

    pupil: str
    made: date
    score: Score
