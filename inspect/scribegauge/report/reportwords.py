"""Headings, captions and notes of the report; page and PDF say the same."""

NO_TITLE = "Scribed plate"
NO_DATE = "no date"
KIND = "Scribed plate, measured from a photo of"
CARE = "Take with care"
NOT_JUDGED = "The photo that could not be judged."
NUMBERS = "Sides and angles"
SIDES, ANGLES = "Sides, in mm", "Angles, in degrees"
SIDE, ANGLE = "Side", "Angle"
MEASURED_COLUMNS = ("Intended", "Measured", "Deviation", "U")
VERDICT = "Verdict"
NUMBERS_NOTE = (
    "Deviation is measured less intended: + is too long or too wide, − too short or too narrow. U is "
    "the expanded uncertainty (k = 2): of a hundred such numbers about ninety-five lie within U of "
    "the truth."
)
JUDGED_NOTE = (
    "Within: inside the tolerance even with U added. Outside: beyond it even with U taken off. "
    "Undecided: in between; this photo cannot tell."
)
DEVIATIONS = "Deviations"
PLOT_NOTE = "The bar is the deviation, the whisker its uncertainty U."
BAND_NOTE = (
    "The bar is the deviation, the whisker its uncertainty U, the shaded band between the broken "
    "lines the tolerance."
)
PRICKS = "Pricks"
PRICKS_CAPTION = "How far each prick is off its corner, in mm"
PRICK_COLUMNS = ("Prick", "Off corner", "U", "Diameter")
ARCS = "Circles and arcs"
ARC_COLUMNS = ("Arc", "Radius, mm", "U", "Centre U", "Sweep, °", "Remarks")
CONSTRUCTION = "The construction"
PARTS_SIDES = "Sides, mm: what the method gives when done perfectly, and what the hand added"
PARTS_ANGLES = "Angles, °: the same"
PARTS_COLUMNS = ("Intended", "Method", "Scribed", "Method off", "Hand off")
STEPS = "Steps"
STEPS_CAPTION = "Steps, mm: what each added by itself, its U, and how far its mark was already off"
STEP_COLUMNS = ("Step", "What is done", "Own", "U", "Inherited")
STANDS_OUT = "stands out"
PUBLISHED = "Published"
MEETINGS = "Where marks meet"
MEETINGS_CAPTION = "How far three or more marks miss one point at most, in mm"
MEETING_COLUMNS = ("At", "Marks", "Miss", "U")
QUALITY = "Quality of the lines"
QUALITY_COLUMNS = ("Side", "Width, mm", "Against the tolerance", "Wander, mm", "Remarks")
QUALITY_NOTE = (
    "Wander: root-mean-square distance from a straight line, noise taken off. Places are counted in "
    "mm from the line's start as it is listed in the reading file. Where a line is not seen it "
    "breaks, or the light does not catch it."
)
LINES = "How well the lines were seen"
LINE_COLUMNS = ("Side", "Width, mm", "Look", "Seen, %")
HINTED = ", found where a hint said"
LINES_NOTE = (
    "Seen: the share of the side's length that stands out from the metal. A dark line is the surest; "
    "a bright one on bare metal may be one wall of the groove only, and its middle up to 0.03 mm "
    "aside."
)
LIMITS = "What limits the accuracy, and what to do next time"
SETTINGS = "How this was measured"
CAUTIONS = "Take care"
CAUTIONS_TEXT = (
    "Your teacher's word and the rules of the workshop come first. Scribers and dividers have points "
    "that go into a hand as well as into brass: cap them and lay them down pointing away. A sawn or "
    "sheared edge cuts: deburr the plate before it is handled. Wear eye protection for sawing, "
    "filing, grinding and punching; brush swarf away, never blow it."
)


def other_lines(count: int) -> str:
    """Say how many lines are no side; empty for none."""
    if count == 0:
        return ""
    if count == 1:
        return "1 other line was found that is no side of the figure."
    return f"{count} other lines were found that are no side of the figure."


def limits_intro(side: str, expanded: str) -> str:
    """Say of which side the largest causes of uncertainty are told."""
    return f"A typical side here is {side}, with U = {expanded} mm. Most of it comes from:"


def limit_size(expanded: str, percent: int) -> str:
    """Say how much one cause makes of an uncertainty."""
    return f"{expanded} mm, {percent} % of U²."
