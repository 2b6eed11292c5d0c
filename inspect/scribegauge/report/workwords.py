"""What a reading says of the hand's work, in words; only what noise and light do not explain."""

from collections.abc import Iterator

from scribegauge.report.markreading import ArcReading, CornerReading, MeetingReading
from scribegauge.report.reading import LineReading, Reading
from scribegauge.report.words import DASH, decimals_for
from scribetarget.wording import digits, later, say

# A line that is not seen up to its corner by so much fell short, or the light left it there.
SHORT_MM = 0.5
_MARKS = {
    "line": later("line {which}"),
    "arc": later("arc {which}"),
    "prick": later("prick {which}"),
}


def mark_name(label: str) -> str:
    """Name a mark for a person: ``A-B`` as ``A–B``, ``arc 1`` and ``prick A`` in their language."""
    kind, _, which = label.partition(" ")
    if which and kind in _MARKS:
        return say(_MARKS[kind], which=which)
    return label.replace("-", DASH)


def sized(value_mm: float, expanded_mm: float) -> str:
    """Write a size with its uncertainty, e.g. ``0.10 ± 0.05 mm``."""
    places = decimals_for(expanded_mm)
    return f"{digits(value_mm, places)} ± {digits(expanded_mm, places)} mm"


def line_remarks(line: LineReading) -> tuple[str, ...]:
    """Say what is remarkable about one line."""
    return tuple(_of_line(line))


def _of_line(line: LineReading) -> Iterator[str]:
    quality = line.quality
    if quality is None:
        return
    if quality.width_verdict == "outside":
        size = sized(line.width_mm, quality.U_width_mm)
        yield say("wider than the tolerance: {size}", size=size)
    if quality.wander_mm > quality.U_wander_mm:
        yield say("wanders by {size} (RMS)", size=sized(quality.wander_mm, quality.U_wander_mm))
    for stretch in quality.doubled:
        yield say(
            "two strokes from {first_mm:.0f} to {last_mm:.0f} mm, {size} apart",
            first_mm=stretch.first_mm,
            last_mm=stretch.last_mm,
            size=sized(stretch.apart_mm, stretch.U_apart_mm),
        )
    for first, last in quality.gaps_mm:
        yield say("not seen from {first_mm:.1f} to {last_mm:.1f} mm", first_mm=first, last_mm=last)
    if quality.faded_start_mm:
        yield say("faint over its first {faint_mm:.1f} mm", faint_mm=quality.faded_start_mm)
    if quality.faded_end_mm:
        yield say("faint over its last {faint_mm:.1f} mm", faint_mm=quality.faded_end_mm)


def arc_name(number: int) -> str:
    """Name an arc where a row begins."""
    return say("Arc {number}", number=number)


def arc_remarks(arc: ArcReading) -> tuple[str, ...]:
    """Say what is remarkable about one circle or arc."""
    told = (
        (later("out of round by {size}"), arc.roundness_mm, arc.U_roundness_mm),
        (later("its end misses its start by {size}"), arc.mismatch_mm, arc.U_mismatch_mm),
        (later("its centre wandered by {size}"), arc.centre_wander_mm, arc.U_centre_wander_mm),
    )
    return tuple(
        say(words, size=sized(size, limit))
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
        say(
            "{side} is not seen over the last {short_mm:.1f} mm to {corner}",
            side=mark_name(side),
            short_mm=-past,
            corner=corner.at,
        )
        for side, past, expanded in ends
        if past is not None and expanded is not None and past + expanded < -SHORT_MM
    )


def meeting_remark(meeting: MeetingReading) -> str:
    """Say how far marks miss their meeting; empty where they meet as well as can be seen."""
    if meeting.miss_mm <= meeting.U_miss_mm:
        return ""
    marks = ", ".join(mark_name(mark) for mark in meeting.marks)
    size = sized(meeting.miss_mm, meeting.U_miss_mm)
    return say("{marks} miss one point by {size}", marks=marks, size=size)


def remarks(reading: Reading) -> tuple[str, ...]:
    """Gather all remarks, each with what it is about."""
    rows: list[str] = []
    for line in reading.lines:
        said = line_remarks(line) if line.side else ()
        rows += [f"{mark_name(line.side)}: {'; '.join(said)}."] if said else []
    for k, arc in enumerate(reading.arcs):
        said = arc_remarks(arc)
        rows += [f"{arc_name(k + 1)}: {'; '.join(said)}."] if said else []
    for corner in reading.corners:
        said = corner_remarks(corner)
        rows += [f"{'; '.join(said)}."] if said else []
    for meeting in sorted(reading.meetings, key=lambda each: -each.miss_mm):
        remark = meeting_remark(meeting)
        rows += [f"{remark}."] if remark else []
    return tuple(rows)
