"""How many of how many, and lists of names, in words."""

from collections.abc import Sequence

from scribetarget.wording import later, say, say_count

_NUMBERS = (
    *("0", "1", later("two"), later("three"), later("four"), later("five"), later("six")),
    *(later("seven"), later("eight"), later("nine"), later("ten"), later("eleven")),
    later("twelve"),
)


def _number(count: int) -> str:
    """Write small numbers as words."""
    return say(_NUMBERS[count]) if 1 < count < len(_NUMBERS) else str(count)


def share_of_sides(count: int, total: int) -> str:
    """Say how many of them: ``all five sides are``, ``one of five sides is``, ``no side is``."""
    if count == 0:
        return say("no side is")
    if count == total:
        return say("all {total} sides are", total=_number(total))
    return say_count(
        "one of {total} sides is",
        "{number} of {total} sides are",
        count,
        number=_number(count),
        total=_number(total),
    )


def share_of_angles(count: int, total: int) -> str:
    """Say how many angles, as `share_of_sides` does."""
    if count == 0:
        return say("no angle is")
    if count == total:
        return say("all {total} angles are", total=_number(total))
    return say_count(
        "one of {total} angles is",
        "{number} of {total} angles are",
        count,
        number=_number(count),
        total=_number(total),
    )


def listed(names: Sequence[str]) -> str:
    """List names: ``A–B, B–C and C–D``."""
    if len(names) == 1:
        return names[0]
    return say("{names} and {last}", names=", ".join(names[:-1]), last=names[-1])
