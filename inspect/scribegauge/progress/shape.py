"""Whether two figures are the same but for size, place, turn or side."""

from collections.abc import Sequence

Step = tuple[float, float]


def figure_of(sides_mm: Sequence[float], angles_deg: Sequence[float]) -> str:
    """Name a polygon's shape, the same for every size, first vertex and sense of going round.

    Parameters
    ----------
    sides_mm : sequence of float, n of them
        Intended; the k-th runs from vertex k to the next.
    angles_deg : sequence of float, n of them
        Intended, at vertex k.

    Returns
    -------
    str
        Empty without sides. Ratios of sides to 1 %, angles to 0.1°.
    """
    steps = _steps(sides_mm, angles_deg)
    if not steps:
        return ""
    back_sides = [sides_mm[-k - 1] for k in range(len(steps))]
    back_angles = [angles_deg[-k % len(steps)] for k in range(len(steps))]
    both = (*_turns(steps), *_turns(_steps(back_sides, back_angles)))
    return " ".join(f"{side:.2f}/{angle:.1f}" for angle, side in min(both))


def looks_the_same_turned(sides_mm: Sequence[float], angles_deg: Sequence[float]) -> bool:
    """Tell whether a turn takes the figure onto itself: then no corner can be told from another."""
    first, *others = _turns(_steps(sides_mm, angles_deg)) or [()]
    return first in others


def _steps(sides_mm: Sequence[float], angles_deg: Sequence[float]) -> tuple[Step, ...]:
    if not sides_mm:
        return ()
    mean = sum(sides_mm) / len(sides_mm)
    return tuple(
        (round(angle, 1), round(side / mean, 2))
        for side, angle in zip(sides_mm, angles_deg, strict=True)
    )


def _turns(steps: tuple[Step, ...]) -> list[tuple[Step, ...]]:
    return [steps[k:] + steps[:k] for k in range(len(steps))]
