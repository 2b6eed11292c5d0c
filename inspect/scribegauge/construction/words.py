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


def step_words(step: Step) -> str:
    """Say what a step does, without a full stop: ``Circle a about A with opening r``."""
    match step:
        case GivenPoint(mark=mark, at_mm=at):
            return f"Prick {mark} at x {at.real:.6g} mm, y {at.imag:.6g} mm"
        case DrawLine(mark=mark, through=(first, second)):
            return f"Line {mark} through {first} and {second}"
        case SetDividers():
            return _set(step)
        case DrawCircle(mark=mark, about=about):
            how = f"with opening {step.opening}" if step.opening else f"through {step.through}"
            return f"Circle {mark} about {about}, {how}"
        case Meet(mark=mark, of=(first, second)):
            return f"{mark} where {first} and {second} meet{_which(step.rule)}"
    return _measured(step)


def _measured(step: StepOff | Extend | Divide) -> str:
    match step:
        case StepOff(mark=mark, along=along, start=start, opening=opening):
            way = "clockwise" if step.clockwise else "counterclockwise"
            return f"Step opening {opening} off along {along} from {start}, {way}, to {mark}"
        case Extend(mark=mark, line=line, beyond=beyond, opening=opening):
            return f"Extend {line} beyond {beyond} by opening {opening}, to {mark}"
        case Divide(mark=mark, points=(first, second), share=share):
            return f"Divide {first} to {second}: {mark} at {share:.6g} of the way"


def _set(step: SetDividers) -> str:
    if step.points is None:
        return f"Set the dividers to {step.length_mm:.6g} mm: opening {step.mark}"
    return f"Set the dividers from {step.points[0]} to {step.points[1]}: opening {step.mark}"


def _which(rule: Rule) -> str:
    words = {
        "": "",
        "nearest_to": ", nearest to {}",
        "farthest_from": ", farthest from {}",
        "left_of": ", to the left going from {} to {}",
        "right_of": ", to the right going from {} to {}",
        "first_along": ", the first going from {} to {}",
        "last_along": ", the last going from {} to {}",
    }
    return words[rule.kind].format(*rule.points)
