"""A construction's steps in the words of the trade."""

from scribegauge.construction.record import (
    Divide,
    DrawCircle,
    DrawLine,
    Extend,
    GivenPoint,
    Meet,
    Rule,
    SetDividers,
    Step,
    StepOff,
)
from scribetarget.wording import later, say


def step_words(step: Step) -> str:
    """Say what a step does, without a full stop: ``Circle a about A with opening r``."""
    match step:
        case GivenPoint(mark=mark, at_mm=at):
            return say(
                "Prick {mark} at x {x:.6g} mm, y {y:.6g} mm",
                mark=mark,
                x=float(at.real),
                y=float(at.imag),
            )
        case DrawLine(mark=mark, through=(first, second)):
            return say(
                "Line {mark} through {first} and {second}", mark=mark, first=first, second=second
            )
        case SetDividers():
            return _set(step)
        case DrawCircle():
            return _circle(step)
        case Meet(mark=mark, of=(first, second)):
            where = say(
                "{mark} where {first} and {second} meet", mark=mark, first=first, second=second
            )
            return f"{where}{_which(step.rule)}"
    return _measured(step)


def _circle(step: DrawCircle) -> str:
    told = {"mark": step.mark, "about": step.about}
    if step.opening:
        return say(
            "Circle {mark} about {about}, with opening {opening}", opening=step.opening, **told
        )
    return say("Circle {mark} about {about}, through {through}", through=step.through, **told)


def _measured(step: StepOff | Extend | Divide) -> str:
    match step:
        case StepOff():
            return _stepped(step)
        case Extend(mark=mark, line=line, beyond=beyond, opening=opening):
            return say(
                "Extend {line} beyond {beyond} by opening {opening}, to {mark}",
                line=line,
                beyond=beyond,
                opening=opening,
                mark=mark,
            )
        case Divide(mark=mark, points=(first, second), share=share):
            return say(
                "Divide {first} to {second}: {mark} at {share:.6g} of the way",
                first=first,
                second=second,
                mark=mark,
                share=float(share),
            )


def _stepped(step: StepOff) -> str:
    told = {"opening": step.opening, "along": step.along, "start": step.start, "mark": step.mark}
    if step.clockwise:
        return say(
            "Step opening {opening} off along {along} from {start}, clockwise, to {mark}", **told
        )
    return say(
        "Step opening {opening} off along {along} from {start}, counterclockwise, to {mark}", **told
    )


def _set(step: SetDividers) -> str:
    if step.points is None:
        return say(
            "Set the dividers to {length_mm:.6g} mm: opening {mark}",
            length_mm=step.length_mm,
            mark=step.mark,
        )
    return say(
        "Set the dividers from {first} to {second}: opening {mark}",
        first=step.points[0],
        second=step.points[1],
        mark=step.mark,
    )


# Which of two meetings is meant, after "where a and b meet".
_WHICH = {
    "nearest_to": later(", nearest to {first}"),
    "farthest_from": later(", farthest from {first}"),
    "left_of": later(", to the left going from {first} to {second}"),
    "right_of": later(", to the right going from {first} to {second}"),
    "first_along": later(", the first going from {first} to {second}"),
    "last_along": later(", the last going from {first} to {second}"),
}


def _which(rule: Rule) -> str:
    if not rule.kind:
        return ""
    first, *rest = rule.points
    return say(_WHICH[rule.kind], first=first, second=rest[0] if rest else "")
