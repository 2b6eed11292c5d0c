"""A construction compared with the plate, in sentences and rows for a person."""

from collections.abc import Callable, Sequence

import numpy as np

from scribegauge.construction.patterns import Finding
from scribegauge.construction.record import DrawLine, Meet, Step
from scribegauge.report.constructionreading import (
    ConstructionReading,
    StepReading,
)
from scribegauge.report.words import DASH, decimals_for, named, paragraph

_COLUMNS = 80
_NAME, _NUMBER = 10, 12
_EFFECTS_SHOWN = 3
# Shares smaller than this part of the largest are not worth a word.
_WORTH = 0.2


def finding_sentence(finding: Finding, step: Step) -> str:
    """Say what the hand did at one step.

    Parameters
    ----------
    finding : Finding
    step : Step
        The one that it is about.
    """
    return _SENTENCES[finding.kind](finding, step)


def _size(finding: Finding) -> str:
    places = decimals_for(finding.expanded_mm)
    return f"{abs(finding.size_mm):.{places}f} ± {finding.expanded_mm:.{places}f} mm"


def _opening_set(finding: Finding, _: Step) -> str:
    way = "long" if finding.size_mm > 0 else "short"
    lead = f"The dividers were set {_size(finding)} {way} (opening {finding.mark})"
    if len(finding.at) > 1:
        return f"{lead}; {named(finding.at)} inherited it."
    return f"{lead}, or slipped when {finding.at[0]} was made: only that mark shows the opening."


def _centre_off(finding: Finding, _: Step) -> str:
    return (
        f"The point of the dividers stood {_size(finding)} off {finding.at[0]} when circle "
        f"{finding.mark} was drawn."
    )


def _circle_wide(finding: Finding, _: Step) -> str:
    way = "wide" if finding.size_mm > 0 else "narrow"
    return f"Circle {finding.mark} was drawn {_size(finding)} too {way} for its opening."


def _line_turned(finding: Finding, step: Step) -> str:
    pair = step.through if isinstance(step, DrawLine) else finding.at
    kept = next((name for name in pair if name != finding.at[0]), "")
    return (
        f"Line {finding.mark} misses {finding.at[0]} by {_size(finding)} and keeps to {kept}: the "
        "rule turned about that end."
    )


def _line_aside(finding: Finding, _: Step) -> str:
    return f"Line {finding.mark} misses {named(finding.at)}, by up to {_size(finding)}."


def _point_off(finding: Finding, step: Step) -> str:
    if isinstance(step, Meet):
        first, second = step.of
        return f"{finding.mark} was pricked {_size(finding)} off where {first} and {second} meet."
    return f"{finding.mark} was pricked {_size(finding)} off its place."


def _spacing(finding: Finding, _: Step) -> str:
    way = "too far from" if finding.size_mm > 0 else "too near to"
    return f"{finding.mark} was pricked {_size(finding)} {way} {finding.at[0]}."


def _stepped_far(finding: Finding, _: Step) -> str:
    way = "long" if finding.size_mm > 0 else "short"
    return f"The step from {finding.at[0]} to {finding.mark} is {_size(finding)} too {way}."


def _opening_crept(finding: Finding, _: Step) -> str:
    way = "opened" if finding.size_mm > 0 else "closed"
    return (
        f"The dividers {way} by {_size(finding)} while they were stepped from {finding.at[0]} "
        f"to {finding.at[-1]}."
    )


_SENTENCES: dict[str, Callable[[Finding, Step], str]] = {
    "opening_set": _opening_set,
    "centre_off": _centre_off,
    "circle_wide": _circle_wide,
    "line_turned": _line_turned,
    "line_aside": _line_aside,
    "point_off": _point_off,
    "spacing": _spacing,
    "stepped_far": _stepped_far,
    "opening_crept": _opening_crept,
}


def construction_sentences(construction: ConstructionReading) -> list[str]:
    """Say what the method could give, where the error entered, and what cannot be known.

    Parameters
    ----------
    construction : ConstructionReading
    """
    said = [_method_sentence(construction), *_names_sentence(construction)]
    entered = next((s for s in construction.steps if s.named), None)
    if entered is not None:
        findings = [f.text for f in construction.findings if f.mark == entered.mark]
        said.append(f"The error entered at step {entered.number}: {findings[0]}")
        said += _effect_sentences(entered, construction)
        later = [f for f in construction.findings if f.mark != entered.mark]
        said += [f"Step {finding.number} added its own: {finding.text}" for finding in later]
    elif construction.steps:
        said.append("No step stands out: none is off by more than its U can explain.")
        said += [finding.text for finding in construction.findings]
    return [*said, *_gap_sentence(construction), *_not_known(construction)]


def _method_sentence(construction: ConstructionReading) -> str:
    lead = f"Construction: {construction.title}."
    if construction.exact:
        return f"{lead} The method is exact, so all that is off is the hand's."
    side = max((abs(s.method_error_mm) for s in construction.sides), default=0.0)
    angle = max((abs(a.method_error_deg) for a in construction.angles), default=0.0)
    return (
        f"{lead} Done perfectly, the method itself is off by up to {side:.3f} mm on a side and "
        f"{angle:.3f}° on an angle; the rest is the hand's."
    )


def _names_sentence(construction: ConstructionReading) -> list[str]:
    """Say which vertex is which where construction and layout call them otherwise."""
    marks, vertices = construction.vertex_marks, construction.vertices
    if marks == vertices:
        return []
    return [f"Its {', '.join(marks)} are the layout's {', '.join(vertices)}."]


def _effect_sentences(step: StepReading, construction: ConstructionReading) -> list[str]:
    """Say which sides and angles a step changed most."""
    sides = [
        f"{construction.sides[k].side} by {step.side_shares_mm[k]:+.3f} mm"
        for k in _largest(step.side_shares_mm)
    ]
    angles = [
        f"{construction.angles[k].at} by {step.angle_shares_deg[k]:+.3f}°"
        for k in _largest(step.angle_shares_deg)
    ]
    said = [f"side {named(sides)}"] if sides else []
    said += [f"angle {named(angles)}"] if angles else []
    return [f"By itself it changed the layout's {' and '.join(said)}."] if said else []


def _largest(shares: Sequence[float]) -> list[int]:
    """Return which shares are worth a word, the largest first."""
    sizes = np.abs(np.array(shares))
    order = [int(k) for k in np.argsort(-sizes)[:_EFFECTS_SHOWN]]
    return [k for k in order if sizes[k] > max(_WORTH * float(sizes.max()), 5e-4)]


def _not_known(construction: ConstructionReading) -> list[str]:
    said = []
    if construction.not_seen:
        count = f"{len(construction.not_seen)} marks of the construction were"
        if len(construction.not_seen) == 1:
            count = "1 mark of the construction was"
        said.append(
            f"{count} not found ({', '.join(construction.not_seen)}): each is taken where the step "
            "before puts it, and what follows is known less surely."
        )
    if construction.by_lines:
        said.append(
            f"No prick was seen at {named(construction.by_lines)}: taken where the sides meet."
        )
    said += _begun_otherwise(construction)
    return [*said, *construction.notes]


def _begun_otherwise(construction: ConstructionReading) -> list[str]:
    """Say where else the construction may have been begun."""
    marks, here, rival = construction.vertex_marks, construction.vertices, construction.rival
    said = []
    if rival is not None and construction.off_mm is not None:
        said.append(
            "The marks found do not show for sure where the construction was begun. Taken is "
            f"{_begun(marks, here)}, where the method fits the corners to "
            f"{construction.off_mm:.2f} mm and the steps need the smallest errors; "
            f"{_begun(marks, rival)}, to {construction.rival_off_mm:.2f} mm, needs little larger "
            "ones. If that is how it was, say "
            f"vertices = {list(rival)} under [construction] in the layout file.".replace("'", '"')
        )
    if construction.reverse is not None and construction.steps:
        said.append(
            f"Begun with {_begun(marks, construction.reverse)} the figure would lie the same; the "
            f"steps are told for {_begun(marks, here)}, which needs the smaller errors."
        )
    return said


def _begun(marks: Sequence[str], names: Sequence[str]) -> str:
    return f"{marks[0]} at {names[0]} and {marks[1]} at {names[1]}"


def _gap_sentence(construction: ConstructionReading) -> list[str]:
    gap, own = construction.closing_gap_mm, construction.method_gap_mm
    if gap is None or own is None:
        return []
    way = "longer" if gap > 0 else "shorter"
    return [
        f"The closing gap: the last chord is {abs(gap):.2f} mm {way} than the steps, of which the "
        f"method itself makes {own + 0.0:+.2f} mm."
    ]


def construction_rows(construction: ConstructionReading | None) -> list[str]:
    """Set out a construction in lines of at most 80 columns; empty without one."""
    if construction is None:
        return []
    lines: list[str] = []
    for sentence in construction_sentences(construction):
        lines += paragraph(sentence, _COLUMNS, "  ")
    head = "".join(f"{word:>{_NUMBER}}" for word in ("intended", "method", "scribed"))
    head += "".join(f"{word:>{_NUMBER}}" for word in ("method off", "hand off"))
    lines += ["", f"{'Side [mm]':{_NAME}}{head}"]
    lines += [
        _row(s.side, (s.intended_mm, s.method_mm, s.scribed_mm), s.hand_error_mm, s.U_mm)
        for s in construction.sides
    ]
    lines += ["", f"{'Angle [°]':{_NAME}}{head}"]
    lines += [
        _row(a.at, (a.intended_deg, a.method_deg, a.scribed_deg), a.hand_error_deg, a.U_deg)
        for a in construction.angles
    ]
    return [*lines, *_step_rows(construction.steps)]


def _row(
    name: str,
    values: tuple[float, float, float | None],
    hand: float | None,
    expanded: float | None,
) -> str:
    intended, method, scribed = values
    places = 3 if expanded is None else decimals_for(expanded)
    numbers = [f"{intended:.{places}f}", f"{method:.{places}f}"]
    numbers.append(DASH if scribed is None else f"{scribed:.{places}f}")
    numbers.append(f"{round(method - intended, places) + 0.0:+.{places}f}")
    numbers.append(DASH if hand is None else f"{round(hand, places) + 0.0:+.{places}f}")
    return f"{name:{_NAME}}" + "".join(f"{number:>{_NUMBER}}" for number in numbers)


def _step_rows(steps: Sequence[StepReading]) -> list[str]:
    if not steps:
        return []
    rows = ["", f"{'Step [mm]':{_NAME}}{'own':>{_NUMBER}}{'U':>{_NUMBER}}{'inherited':>{_NUMBER}}"]
    for step in steps:
        places = 3 if step.U_mm is None else decimals_for(step.U_mm)
        own = "not seen" if not step.seen else DASH
        own = own if step.own_mm is None else f"{step.own_mm:.{places}f}"
        expanded = DASH if step.U_mm is None else f"{step.U_mm:.{places}f}"
        numbers = (own, expanded, f"{step.inherited_mm:.{min(places, 3)}f}")
        mark = f"{step.number:>3} {step.mark}"
        row = f"{mark:{_NAME}}" + "".join(f"{number:>{_NUMBER}}" for number in numbers)
        rows.append(f"{row}   {'stands out' if step.named else ''}".rstrip())
    return rows
