"""An exercise: the task, its steps drawn one by one, and what to measure at the end."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace

import numpy as np

from scribegauge.construction.method import exact_places
from scribegauge.construction.record import (
    Construction,
    Divide,
    DrawCircle,
    DrawLine,
    Extend,
    GivenPoint,
    Meet,
    Plan,
    SetDividers,
    Step,
    StepOff,
)
from scribegauge.construction.words import step_words
from scribegauge.drawings import dimensions
from scribegauge.drawings.checks import Check, checks_of
from scribegauge.drawings.constructiondrawing import (
    DrawnStep,
    dividers_set,
    drawn_steps,
    figure_items,
)
from scribegauge.drawings.labelling import placed_names, sampled
from scribegauge.drawings.record import Arc, Item, Words, bounds_mm
from scribegauge.figure.named import size_words
from scribegauge.figure.polygon import least_square_mm

NAME_MM = 2.2
_MARGIN_MM = 5.0
_BESIDE_MM, _STEP_ROW_MM = 15.0, 5.0
_NUMBER_AT = 0.36  # of a dimension line; in the middle constructions have their own lines


@dataclass(frozen=True, slots=True)
class Exercise:
    """Everything that an exercise sheet says.

    Attributes
    ----------
    construction : Construction
    plan : Plan
        At the sizes asked for.
    steps : tuple of DrawnStep
    figure : tuple of Item
        The finished figure.
    checks : tuple of Check
    """

    construction: Construction
    plan: Plan
    steps: tuple[DrawnStep, ...]
    figure: tuple[Item, ...]
    checks: tuple[Check, ...]

    @property
    def sizes(self) -> str:
        """The sizes in words."""
        return ", ".join(size_words(key, value) for key, value in self.plan.sizes.items())

    @property
    def square_mm(self) -> float:
        """Side of the smallest square plate that carries all marks, with a margin."""
        paths = [item.path_mm() for item in lasting(self.steps)]
        return least_square_mm(np.concatenate(paths)) + 2 * _MARGIN_MM


def exercise_of(construction: Construction, plan: Plan) -> Exercise:
    """Put an exercise together.

    Parameters
    ----------
    construction : Construction
    plan : Plan
        Of it, at the sizes asked for.

    Raises
    ------
    UseError
        ``construction_impossible``.
    """
    steps = drawn_steps(plan)
    return Exercise(construction, plan, steps, figure_items(plan), checks_of(plan))


def true_items(exercise: Exercise, scale: float = 1.0) -> tuple[Item, ...]:
    """Return the whole construction with names and dimensions.

    Parameters
    ----------
    exercise : Exercise
    scale : float
        Of the drawing on paper, for names and dimension lines; places stay true.
    """
    strokes = tuple(lasting(exercise.steps))
    sizes = tuple(_dimensions(exercise, strokes, scale))
    names = [name for step in exercise.steps for name in step.names]
    words = placed_names(names, (*strokes, *exercise.figure, *sizes), scale, NAME_MM)
    return (*strokes, *exercise.figure, *sizes, *words)


def board_items(exercise: Exercise) -> tuple[Item, ...]:
    """Return `true_items` with the title and the steps in words beside them, each in its layer."""
    drawn = true_items(exercise)
    low, high = bounds_mm(drawn)
    x, y = float(high[0]) + _BESIDE_MM, float(low[1])
    words = [
        Words((x, y), f"{exercise.plan.title}, {exercise.sizes}", NAME_MM, "rule", "start", "TEXT")
    ]
    for k, step in enumerate(exercise.steps):
        at = (x, y + _STEP_ROW_MM * (k + 1))
        words.append(Words(at, caption(exercise, step), NAME_MM, "mark", "start", step.layer))
    return (*drawn, *words)


def panel_items(exercise: Exercise, scale: float, height_mm: float) -> Iterator[tuple[Item, ...]]:
    """Yield for each step what its panel shows: earlier marks pale, its own marks strong.

    Parameters
    ----------
    exercise : Exercise
    scale : float
        Of the panels on paper.
    height_mm : float
        Of capitals on paper.
    """
    everything = list(lasting(exercise.steps))
    names = [name for step in exercise.steps for name in step.names]
    words = {w.text: w for w in placed_names(names, everything, scale, height_mm)}
    before: list[Item] = []
    for step in exercise.steps:
        new: list[Item] = [line for item in step.items for line in dividers_set(item)]
        new += [i if i.role == "opening" else replace(i, role="new") for i in step.items]
        own = {each.mark for each in step.steps}
        used = {name for each in step.steps for name in parents_of(each)} - own
        labels: list[Item] = [replace(words[n], role="rule") for n in used if n in words]
        labels += [replace(words[n], role="new", bold=True) for n in own if n in words]
        yield (*before, *new, *sorted(labels, key=_text_of))
        before += [replace(item, role="old") for item in lasting([step])]


def lasting(steps: Sequence[DrawnStep]) -> Iterator[Item]:
    """Yield what steps leave on the plate: an opening of the dividers leaves nothing."""
    yield from (item for step in steps for item in step.items if item.role != "opening")


def caption(exercise: Exercise, step: DrawnStep) -> str:
    """Say what a step does; an opening with its length."""
    first, last = step.steps[0], step.steps[-1]
    words = f"{step.number}. {step_words(first)}"
    if isinstance(first, StepOff) and last is not first:
        words += f", and on to {last.mark}"
    elif isinstance(first, DrawLine) and last is not first:
        words = f"{step.number}. Lines {', '.join(each.mark for each in step.steps)}"
    if isinstance(first, SetDividers) and first.points is not None:
        opening = exact_places(exercise.plan)[first.mark]
        words += f", {dimensions.length_words(float(opening))} mm"  # type: ignore[arg-type]
    return words + "."


def parents_of(step: Step) -> tuple[str, ...]:
    """Return the marks that a step starts from."""
    match step:
        case DrawLine(through=pair) | SetDividers(points=tuple() as pair) | Divide(points=pair):
            return pair
        case DrawCircle(about=about, through=through):
            return (about, *([through] if through else []))
        case Meet(of=pair, rule=rule):
            return (*pair, *rule.points)
        case StepOff(along=along, start=start):
            return (along, start)
        case Extend(line=line, beyond=beyond):
            return (line, beyond)
    return ()


def _dimensions(exercise: Exercise, strokes: tuple[Item, ...], scale: float) -> Iterator[Item]:
    """Dimension the first side or the given length, and the circle that the figure lies in."""
    plan, places = exercise.plan, exact_places(exercise.plan)
    whole = [item for item in strokes if isinstance(item, Arc) and item.whole]
    ends = plan.vertices[:2] if plan.sides else ()
    if not plan.vertices or not whole:
        given = [step.mark for step in plan.steps if isinstance(step, GivenPoint)]
        ends = ends or tuple(given[:2])
    beside: list[Item] = []
    if ends:
        start, end = (complex(places[name]) for name in ends)  # type: ignore[arg-type]
        # To the left of the way, seen with y downwards, lies -i times it.
        inside = (_middle(exercise) - (start + end) / 2) * (-1j * (end - start)).conjugate()
        pair = (start.real, start.imag), (end.real, end.imag)
        left = inside.real < 0
        beside = dimensions.along(*pair, left=left, scale=scale, share=_NUMBER_AT)
    yield from beside
    if whole:
        busy = np.concatenate(
            [sampled(i, _MARGIN_MM / 5) for i in (*strokes, *exercise.figure, *beside)]
        )
        yield from dimensions.radius(
            whole[0], _free_angle(whole[0], busy, scale), whole[0].radius_mm, scale
        )


def _free_angle(circle: Arc, busy: "np.typing.NDArray[np.float64]", scale: float) -> float:
    """Return the direction in which a circle's radius can be written clear of all else."""
    reach = replace(circle, radius_mm=circle.radius_mm + 2 * _MARGIN_MM / scale)
    angles = np.arange(-170.0, 190.0, 10.0)
    gaps = [np.hypot(*(busy - reach.at(float(a))).T).min() for a in angles]
    return float(angles[int(np.argmax(gaps))])


def _middle(exercise: Exercise) -> complex:
    low, high = bounds_mm(exercise.figure or exercise.steps[-1].items)
    x, y = (low + high) / 2
    return complex(x, y)


def _text_of(item: Item) -> str:
    return item.text if isinstance(item, Words) else ""
