"""A construction told to a person: its steps, and what the method gives when done perfectly."""

from collections.abc import Iterator

import numpy as np

from scribegauge.construction.method import figures_of, laid_over
from scribegauge.construction.plan import plan_of
from scribegauge.construction.record import Construction, Plan, StepOff
from scribegauge.construction.words import step_words
from scribegauge.figure.polygon import inside_angles_deg, side_lengths_mm


def told(construction: Construction) -> str:
    """Return a construction's title, sources, numbered steps and its method's errors as text.

    Parameters
    ----------
    construction : Construction
        Taken at the file's own sizes.
    """
    plan = plan_of(construction)
    sizes = ", ".join(f"{name} = {value:g}" for name, value in construction.sizes.items())
    lines = [f"{construction.name}: {construction.title}"]
    lines += [f"Source: {source}" for source in construction.sources]
    lines += [f"Sizes: {sizes}"] if sizes else []
    lines += ["", *_steps(plan), *_method(plan, construction)]
    return "\n".join(lines) + "\n"


def _steps(plan: Plan) -> Iterator[str]:
    number = 0
    for step in plan.steps:
        again = isinstance(step, StepOff) and step.number == number
        lead = "" if again else f"{step.number}."
        yield f"{lead:>4} {step_words(step)}"
        number = step.number


def _method(plan: Plan, construction: Construction) -> list[str]:
    """Say by how much the method misses, done perfectly."""
    if not plan.vertices or construction.exact:
        return ["", "Exact when done perfectly."] if construction.exact else []
    figures = figures_of(plan)
    laid = laid_over(figures.method_mm, figures.intended_mm)
    off = laid - figures.intended_mm
    sides = side_lengths_mm(figures.method_mm) - side_lengths_mm(figures.intended_mm)
    angles = inside_angles_deg(figures.method_mm) - inside_angles_deg(figures.intended_mm)
    sides = np.round(sides, 6) + 0.0  # no "-0.000"
    rows = [
        f"{name:>6}{inside:11.4f}°{angle:+10.4f}°{side:+10.3f} mm{(x * x + y * y) ** 0.5:9.3f} mm"
        for name, inside, angle, side, (x, y) in zip(
            plan.vertices, inside_angles_deg(figures.method_mm), angles, sides, off, strict=True
        )
    ]
    return [
        "",
        "Not exact. Done perfectly, the method differs from the regular figure by",
        "vertex      angle  deviation  next side      vertex",
        *rows,
    ]
