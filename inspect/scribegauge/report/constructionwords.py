"""A construction compared with the plate, in sentences for a person."""

from collections.abc import Sequence

import numpy as np

from scribegauge.report.constructionreading import (
    ConstructionReading,
    StepReading,
)
from scribegauge.report.words import DASH, named
from scribetarget.wording import say, say_count

_EFFECTS_SHOWN = 3
# Shares smaller than this part of the largest are not worth a word.
_WORTH = 0.2


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
        what = say("The error entered at step {number}:", number=entered.number)
        said.append(f"{what} {findings[0]}")
        said += _effect_sentences(entered, construction)
        for finding in construction.findings:
            if finding.mark != entered.mark:
                own = say("Step {number} added its own:", number=finding.number)
                said.append(f"{own} {finding.text}")
    elif construction.steps:
        said.append(say("No step stands out: none is off by more than its U can explain."))
        said += [finding.text for finding in construction.findings]
    return [*said, *_gap_sentence(construction), *_not_known(construction)]


def _method_sentence(construction: ConstructionReading) -> str:
    lead = say("Construction: {title}.", title=construction.title)
    if construction.exact:
        exact = say("The method is exact, so all that is off is the hand's.")
        return f"{lead} {exact}"
    near = say(
        "Done perfectly, the method itself is off by up to {side_mm:.3f} mm on a side and "
        "{angle_deg:.3f}° on an angle; the rest is the hand's.",
        side_mm=max((abs(s.method_error_mm) for s in construction.sides), default=0.0),
        angle_deg=max((abs(a.method_error_deg) for a in construction.angles), default=0.0),
    )
    return f"{lead} {near}"


def _names_sentence(construction: ConstructionReading) -> list[str]:
    """Say which vertex is which where construction and layout call them otherwise."""
    marks, vertices = construction.vertex_marks, construction.vertices
    if marks == vertices:
        return []
    return [
        say(
            "Its {marks} are the layout's {vertices}.",
            marks=", ".join(marks),
            vertices=", ".join(vertices),
        )
    ]


def _effect_sentences(step: StepReading, construction: ConstructionReading) -> list[str]:
    """Say which sides and angles a step changed most."""
    sides = [
        say(
            "{name} by {share:+.3f} mm",
            name=construction.sides[k].side.replace("-", DASH),
            share=step.side_shares_mm[k],
        )
        for k in _largest(step.side_shares_mm)
    ]
    angles = [
        say(
            "{name} by {share:+.3f}°",
            name=construction.angles[k].at,
            share=step.angle_shares_deg[k],
        )
        for k in _largest(step.angle_shares_deg)
    ]
    told = {"sides": named(sides), "angles": named(angles)}
    if sides and angles:
        return [say("By itself it changed the layout's side {sides} and angle {angles}.", **told)]
    if sides:
        return [say("By itself it changed the layout's side {sides}.", sides=named(sides))]
    if angles:
        return [say("By itself it changed the layout's angle {angles}.", angles=named(angles))]
    return []


def _largest(shares: Sequence[float]) -> list[int]:
    """Return which shares are worth a word, the largest first."""
    sizes = np.abs(np.array(shares))
    order = [int(k) for k in np.argsort(-sizes)[:_EFFECTS_SHOWN]]
    return [k for k in order if sizes[k] > max(_WORTH * float(sizes.max()), 5e-4)]


def _not_known(construction: ConstructionReading) -> list[str]:
    said = []
    if construction.not_seen:
        said.append(
            say_count(
                "{count} mark of the construction was not found ({marks}): each is taken where the "
                "step before puts it, and what follows is known less surely.",
                "{count} marks of the construction were not found ({marks}): each is taken where the "
                "step before puts it, and what follows is known less surely.",
                len(construction.not_seen),
                marks=", ".join(construction.not_seen),
            )
        )
    if construction.by_lines:
        names = named(construction.by_lines)
        said.append(say("No prick was seen at {names}: taken where the sides meet.", names=names))
    said += _begun_otherwise(construction)
    return [*said, *construction.notes]


def _begun_otherwise(construction: ConstructionReading) -> list[str]:
    """Say where else the construction may have been begun."""
    marks, here, rival = construction.vertex_marks, construction.vertices, construction.rival
    said = []
    if rival is not None and construction.off_mm is not None:
        wanted = ", ".join(f'"{name}"' for name in rival)
        said.append(
            say(
                "The marks found do not show for sure where the construction was begun. Taken is "
                "{here}, where the method fits the corners to {off_mm:.2f} mm and the steps need the "
                "smallest errors; {rival}, to {rival_off_mm:.2f} mm, needs little larger ones. If that "
                "is how it was, say {key} under [construction] in the layout file.",
                here=_begun(marks, here),
                off_mm=construction.off_mm,
                rival=_begun(marks, rival),
                rival_off_mm=construction.rival_off_mm,
                key=f"vertices = [{wanted}]",
            )
        )
    if construction.reverse is not None and construction.steps:
        said.append(
            say(
                "Begun with {other} the figure would lie the same; the steps are told for {here}, "
                "which needs the smaller errors.",
                other=_begun(marks, construction.reverse),
                here=_begun(marks, here),
            )
        )
    return said


def _begun(marks: Sequence[str], names: Sequence[str]) -> str:
    return say(
        "{first} at {first_name} and {second} at {second_name}",
        first=marks[0],
        first_name=names[0],
        second=marks[1],
        second_name=names[1],
    )


def _gap_sentence(construction: ConstructionReading) -> list[str]:
    gap, own = construction.closing_gap_mm, construction.method_gap_mm
    if gap is None or own is None:
        return []
    told = {"gap_mm": abs(gap), "own_mm": own + 0.0}
    if gap > 0:
        return [
            say(
                "The closing gap: the last chord is {gap_mm:.2f} mm longer than the steps, of which "
                "the method itself makes {own_mm:+.2f} mm.",
                **told,
            )
        ]
    return [
        say(
            "The closing gap: the last chord is {gap_mm:.2f} mm shorter than the steps, of which the "
            "method itself makes {own_mm:+.2f} mm.",
            **told,
        )
    ]
