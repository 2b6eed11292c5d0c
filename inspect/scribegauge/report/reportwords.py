"""Headings, captions and notes of the report; page and PDF say the same."""

from typing import Final

from scribetarget.wording import later, say, say_count

# Said when they are asked for: each is looked up in the language spoken then.
NO_TITLE: str
NO_DATE: str
KIND: str
CARE: str
NOT_JUDGED: str
NUMBERS: str
SIDES: str
ANGLES: str
SIDE: str
ANGLE: str
MEASURED_COLUMNS: tuple[str, ...]
VERDICT: str
NUMBERS_NOTE: str
JUDGED_NOTE: str
DEVIATIONS: str
PLOT_NOTE: str
BAND_NOTE: str
PRICKS: str
PRICKS_CAPTION: str
PRICK_COLUMNS: tuple[str, ...]
ARCS: str
ARC_COLUMNS: tuple[str, ...]
CONSTRUCTION: str
PARTS_SIDES: str
PARTS_ANGLES: str
PARTS_COLUMNS: tuple[str, ...]
STEPS: str
STEPS_CAPTION: str
STEP_COLUMNS: tuple[str, ...]
STANDS_OUT: str
PUBLISHED: str
MEETINGS: str
MEETINGS_CAPTION: str
MEETING_COLUMNS: tuple[str, ...]
QUALITY: str
QUALITY_COLUMNS: tuple[str, ...]
QUALITY_NOTE: str
LINES: str
LINE_COLUMNS: tuple[str, ...]
HINTED: str
LINES_NOTE: str
LIMITS: str
SETTINGS: str
CAUTIONS: str
CAUTIONS_TEXT: str

_TEXTS: Final[dict[str, str]] = {
    "NO_TITLE": later("Scribed plate"),
    "NO_DATE": later("no date"),
    "KIND": later("Scribed plate, measured from a photo of"),
    "CARE": later("Take with care"),
    "NOT_JUDGED": later("The photo that could not be judged."),
    "NUMBERS": later("Sides and angles"),
    "SIDES": later("Sides, in mm"),
    "ANGLES": later("Angles, in degrees"),
    "SIDE": later("Side"),
    "ANGLE": later("Angle"),
    "VERDICT": later("Verdict"),
    "NUMBERS_NOTE": later(
        "Deviation is measured less intended: + is too long or too wide, − too short or too narrow. U is the expanded uncertainty (k = 2): of a hundred such numbers about ninety-five lie within U of the truth."
    ),
    "JUDGED_NOTE": later(
        "Within: inside the tolerance even with U added. Outside: beyond it even with U taken off. Undecided: in between; this photo cannot tell."
    ),
    "DEVIATIONS": later("Deviations"),
    "PLOT_NOTE": later("The bar is the deviation, the whisker its uncertainty U."),
    "BAND_NOTE": later(
        "The bar is the deviation, the whisker its uncertainty U, the shaded band between the broken lines the tolerance."
    ),
    "PRICKS": later("Pricks"),
    "PRICKS_CAPTION": later("How far each prick is off its corner, in mm"),
    "ARCS": later("Circles and arcs"),
    "CONSTRUCTION": later("The construction"),
    "PARTS_SIDES": later(
        "Sides, mm: what the method gives when done perfectly, and what the hand added"
    ),
    "PARTS_ANGLES": later("Angles, °: the same"),
    "STEPS": later("Steps"),
    "STEPS_CAPTION": later(
        "Steps, mm: what each added by itself, its U, and how far its mark was already off"
    ),
    "STANDS_OUT": later("stands out"),
    "PUBLISHED": later("Published"),
    "MEETINGS": later("Where marks meet"),
    "MEETINGS_CAPTION": later("How far three or more marks miss one point at most, in mm"),
    "QUALITY": later("Quality of the lines"),
    "QUALITY_NOTE": later(
        "Wander: root-mean-square distance from a straight line, noise taken off. Places are counted in mm from the line's start as it is listed in the reading file. Where a line is not seen it breaks, or the light does not catch it."
    ),
    "LINES": later("How well the lines were seen"),
    "HINTED": later(", found where a hint said"),
    "LINES_NOTE": later(
        "Seen: the share of the side's length that stands out from the metal. A dark line is the surest; a bright one on bare metal may be one wall of the groove only, and its middle up to 0.03 mm aside."
    ),
    "LIMITS": later("What limits the accuracy, and what to do next time"),
    "SETTINGS": later("How this was measured"),
    "CAUTIONS": later("Take care"),
    "CAUTIONS_TEXT": later(
        "Your teacher's word and the rules of the workshop come first. Scribers and dividers have points that go into a hand as well as into brass: cap them and lay them down pointing away. A sawn or sheared edge cuts: deburr the plate before it is handled. Wear eye protection for sawing, filing, grinding and punching; brush swarf away, never blow it."
    ),
}
_ROWS: Final[dict[str, tuple[str, ...]]] = {
    "MEASURED_COLUMNS": (
        later("Intended"),
        later("Measured"),
        later("Deviation"),
        "U",
    ),
    "PRICK_COLUMNS": (
        later("Prick"),
        later("Off corner"),
        "U",
        later("Diameter"),
    ),
    "ARC_COLUMNS": (
        later("Arc"),
        later("Radius, mm"),
        "U",
        later("Centre U"),
        later("Sweep, °"),
        later("Remarks"),
    ),
    "PARTS_COLUMNS": (
        later("Intended"),
        later("Method"),
        later("Scribed"),
        later("Method off"),
        later("Hand off"),
    ),
    "STEP_COLUMNS": (
        later("Step"),
        later("What is done"),
        later("Own"),
        "U",
        later("Inherited"),
    ),
    "MEETING_COLUMNS": (
        later("At"),
        later("Marks"),
        later("Miss"),
        "U",
    ),
    "QUALITY_COLUMNS": (
        later("Side"),
        later("Width, mm"),
        later("Against the tolerance"),
        later("Wander, mm"),
        later("Remarks"),
    ),
    "LINE_COLUMNS": (
        later("Side"),
        later("Width, mm"),
        later("Look"),
        later("Seen, %"),
    ),
}


def __getattr__(name: str) -> str | tuple[str, ...]:
    """Give a text, or a row of them, in the language spoken (PEP 562)."""
    if name in _ROWS:
        return tuple(say(text) if text != "U" else text for text in _ROWS[name])
    if name in _TEXTS:
        return say(_TEXTS[name])
    raise AttributeError(name)


def other_lines(count: int) -> str:
    """Say how many lines are no side; empty for none."""
    if count == 0:
        return ""
    return say_count(
        "{count} other line was found that is no side of the figure.",
        "{count} other lines were found that are no side of the figure.",
        count,
    )


def limits_intro(side: str, expanded: str) -> str:
    """Say of which side the largest causes of uncertainty are told."""
    return say(
        "A typical side here is {side}, with U = {U} mm. Most of it comes from:",
        side=side,
        U=expanded,
    )


def limit_size(expanded: str, percent: int) -> str:
    """Say how much one cause makes of an uncertainty."""
    return say("{size} mm, {percent} % of U².", size=expanded, percent=percent)


def no_letters(missing: str) -> str:
    """Say what stands for characters that a PDF's letters do not have."""
    return say(
        "{missing} stands for a character that the letters of this file do not have; the report as a "
        "page (.html) shows it.",
        missing=missing,
    )


def plot_described(title: str) -> str:
    """Describe a plot for whoever does not see it."""
    return say(
        "{title}: deviation of each with its uncertainty. The numbers are in the table above.",
        title=title,
    )
