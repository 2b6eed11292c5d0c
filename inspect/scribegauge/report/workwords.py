"""What a reading says of the hand's work, in words; only what noise and light do not explain."""

from collections.abc import Iterator

from scribegauge.report.markreading import ArcReading, CornerReading, MeetingReading
from scribegauge.report.reading import LineReading, Reading
from scribegauge.report.words import DASH, decimals_for

# A line that is not seen up to its corner by so much fell short, or the light left it there.
SHORT_MM = 0.5


def mark_name(label: str) -> str:
    """Name a mark for a person: ``A-B`` as ``A–B``."""
    return label.replace("-", DASH)


def sized(value_mm: float, expanded_mm: float) -> str:
    """Write a size with its uncertainty, e.g. ``0.10 ± 0.05 mm``."""
    places = decimals_for(expanded_mm)
    return f"{value_mm:.{places}f} ± {expanded_mm:.{places}f} mm"


def line_remarks(line: LineReading) -> tuple[str, ...]:
    """Say what is remarkable about one line."""
    return tuple(_of_line(line))


def _of_line(line: LineReading) -> Iterator[str]:
    quality = line.quality
    if quality is None:
        return
    if quality.width_verdict == "outside":
        yield f"wider than the tolerance: {sized(line.width_mm, quality.U_width_mm)}"
    if quality.wander_mm > quality.U_wander_mm:
        yield f"wanders by {sized(quality.wander_mm, quality.U_wander_mm)} (RMS)"
    for stretch in quality.doubled:
        place = f"from {stretch.first_mm:.0f} to {stretch.last_mm:.0f} mm"
        yield f"two strokes {place}, {sized(stretch.apart_mm, stretch.U_apart_mm)} apart"
    for first, last in quality.gaps_mm:
        yield f"not seen from {first:.1f} to {last:.1f} mm"
    if quality.faded_start_mm:
        yield f"faint over its first {quality.faded_start_mm:.1f} mm"
    if quality.faded_end_mm:
        yield f"faint over its last {quality.faded_end_mm:.1f} mm"


def arc_remarks(arc: ArcReading) -> tuple[str, ...]:
    """Say what is remarkable about one circle or arc."""
    told = (
        ("out of round by", arc.roundness_mm, arc.U_roundness_mm),
        ("its end misses its start by", arc.mismatch_mm, arc.U_mismatch_mm),
        ("its centre wandered by", arc.centre_wander_mm, arc.U_centre_wander_mm),
    )
    return tuple(
        f"{words} {sized(size, limit)}"
        for words, size, limit in told
        if size is not None and limit is not None and size > limit
    )


def corner_remarks(corner: CornerReading) -> tuple[str, ...]:
    """Say what is remarkable about one corner: lines that stop short of it."""
    ends = (
        (corner.before, corner.past_before_mm, corner.U_past_before_mm),
        (corner.after, corner.past_after_mm, corner.U_past_after_mm),
    )
    return tuple(
        f"{mark_name(side)} is not seen over the last {-past:.1f} mm to {corner.at}"
        for side, past, expanded in ends
        if past is not None and expanded is not None and past + expanded < -SHORT_MM
    )


def meeting_remark(meeting: MeetingReading) -> str:
    """Say how far marks miss their meeting; empty where they meet as well as can be seen."""
    if meeting.miss_mm <= meeting.U_miss_mm:
        return ""
    marks = ", ".join(mark_name(mark) for mark in meeting.marks)
    return f"{marks} miss one point by {sized(meeting.miss_mm, meeting.U_miss_mm)}"


def remarks(reading: Reading) -> tuple[str, ...]:
    """Gather all remarks, each with what it is about."""
    rows: list[str] = []
    for line in reading.lines:
        said = line_remarks(line) if line.side else ()
        rows += [f"{mark_name(line.side)}: {'; '.join(said)}."] if said else []
    for k, arc in enumerate(reading.arcs):
        said = arc_remarks(arc)
        rows += [f"Arc {k + 1}: {'; '.join(said)}."] if said else []
    for corner in reading.corners:
        said = corner_remarks(corner)
        rows += [f"{'; '.join(said)}."] if said else []
    for meeting in sorted(reading.meetings, key=lambda each: -each.miss_mm):
        remark = meeting_remark(meeting)
        rows += [f"{remark}."] if remark else []
    return tuple(rows)
