"""What the hand did at one step of a construction, in a sentence."""

from collections.abc import Callable

from scribegauge.construction.patterns import Finding
from scribegauge.construction.record import DrawLine, Meet, Step
from scribegauge.report.words import decimals_for, named
from scribetarget.wording import digits, say


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
    return f"{digits(abs(finding.size_mm), places)} ± {digits(finding.expanded_mm, places)} mm"


def _opening_set(finding: Finding, _: Step) -> str:
    told = {"size": _size(finding), "mark": finding.mark, "names": named(finding.at)}
    several, long = len(finding.at) > 1, finding.size_mm > 0
    if several and long:
        return say(
            "The dividers were set {size} long (opening {mark}); {names} inherited it.", **told
        )
    if several:
        return say(
            "The dividers were set {size} short (opening {mark}); {names} inherited it.", **told
        )
    if long:
        return say(
            "The dividers were set {size} long (opening {mark}), or slipped when {names} was made: "
            "only that mark shows the opening.",
            **told,
        )
    return say(
        "The dividers were set {size} short (opening {mark}), or slipped when {names} was made: "
        "only that mark shows the opening.",
        **told,
    )


def _centre_off(finding: Finding, _: Step) -> str:
    return say(
        "The point of the dividers stood {size} off {at} when circle {mark} was drawn.",
        size=_size(finding),
        at=finding.at[0],
        mark=finding.mark,
    )


def _circle_wide(finding: Finding, _: Step) -> str:
    told = {"size": _size(finding), "mark": finding.mark}
    if finding.size_mm > 0:
        return say("Circle {mark} was drawn {size} too wide for its opening.", **told)
    return say("Circle {mark} was drawn {size} too narrow for its opening.", **told)


def _line_turned(finding: Finding, step: Step) -> str:
    pair = step.through if isinstance(step, DrawLine) else finding.at
    return say(
        "Line {mark} misses {at} by {size} and keeps to {kept}: the rule turned about that end.",
        mark=finding.mark,
        at=finding.at[0],
        size=_size(finding),
        kept=next((name for name in pair if name != finding.at[0]), ""),
    )


def _line_aside(finding: Finding, _: Step) -> str:
    return say(
        "Line {mark} misses {names}, by up to {size}.",
        mark=finding.mark,
        names=named(finding.at),
        size=_size(finding),
    )


def _point_off(finding: Finding, step: Step) -> str:
    told = {"size": _size(finding), "mark": finding.mark}
    if isinstance(step, Meet):
        first, second = step.of
        return say(
            "{mark} was pricked {size} off where {first} and {second} meet.",
            first=first,
            second=second,
            **told,
        )
    return say("{mark} was pricked {size} off its place.", **told)


def _spacing(finding: Finding, _: Step) -> str:
    told = {"size": _size(finding), "mark": finding.mark, "at": finding.at[0]}
    if finding.size_mm > 0:
        return say("{mark} was pricked {size} too far from {at}.", **told)
    return say("{mark} was pricked {size} too near to {at}.", **told)


def _stepped_far(finding: Finding, _: Step) -> str:
    told = {"size": _size(finding), "mark": finding.mark, "at": finding.at[0]}
    if finding.size_mm > 0:
        return say("The step from {at} to {mark} is {size} too long.", **told)
    return say("The step from {at} to {mark} is {size} too short.", **told)


def _opening_crept(finding: Finding, _: Step) -> str:
    told = {"size": _size(finding), "first": finding.at[0], "last": finding.at[-1]}
    if finding.size_mm > 0:
        return say(
            "The dividers opened by {size} while they were stepped from {first} to {last}.", **told
        )
    return say(
        "The dividers closed by {size} while they were stepped from {first} to {last}.", **told
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
