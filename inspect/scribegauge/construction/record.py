"""What a construction is: a list of steps, each of which makes one mark.

Frame: millimetres, y downwards as in a layout and on the plate; "left" and "clockwise" are as a
person sees them who looks at the plate.
"""

from collections.abc import Mapping
from dataclasses import dataclass, field


@dataclass(frozen=True, slots=True)
class GivenPoint:
    """A point pricked before the construction begins."""

    mark: str
    number: int
    at_mm: complex


@dataclass(frozen=True, slots=True)
class DrawLine:
    """A line along the rule through two points; it may be used beyond both."""

    mark: str
    number: int
    through: tuple[str, str]


@dataclass(frozen=True, slots=True)
class SetDividers:
    """An opening: the distance of two points, or a length set by the rule."""

    mark: str
    number: int
    points: tuple[str, str] | None
    length_mm: float | None


@dataclass(frozen=True, slots=True)
class DrawCircle:
    """A circle or arc about a point: through another one, or with a kept opening."""

    mark: str
    number: int
    about: str
    through: str | None
    opening: str | None


@dataclass(frozen=True, slots=True)
class Rule:
    """Which of two meetings is meant.

    Attributes
    ----------
    kind : str
        ``nearest_to``, ``farthest_from`` (one point), ``left_of``, ``right_of`` (of a person who
        goes from the first point to the second), ``first_along``, ``last_along`` (the one met
        first or last on that way); empty when two lines meet, which they do once.
    points : tuple of str
        One or two points.
    """

    kind: str
    points: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Meet:
    """The point where two lines or circles meet."""

    mark: str
    number: int
    of: tuple[str, str]
    rule: Rule


@dataclass(frozen=True, slots=True)
class StepOff:
    """A point stepped off along a circle from another point on it."""

    mark: str
    number: int
    along: str
    start: str
    opening: str
    clockwise: bool


@dataclass(frozen=True, slots=True)
class Extend:
    """A point on a line beyond one of its two points, an opening farther."""

    mark: str
    number: int
    line: str
    beyond: str
    opening: str


@dataclass(frozen=True, slots=True)
class Divide:
    """A point at a share of the way from one point to another, by rule or by trial."""

    mark: str
    number: int
    points: tuple[str, str]
    share: float


Step = GivenPoint | DrawLine | SetDividers | DrawCircle | Meet | StepOff | Extend | Divide

#: Steps whose mark is a point.
POINTS = GivenPoint | Meet | StepOff | Extend | Divide


@dataclass(frozen=True, slots=True)
class Intended:
    """The regular figure that the method comes near.

    Attributes
    ----------
    on : (str, str) or None
        It shares this side with the figure of the method.
    about : str or None
        Or it lies in a circle about this point, through the figure's first vertex.
    """

    on: tuple[str, str] | None
    about: str | None


@dataclass(frozen=True, slots=True)
class Plan:
    """A construction at given sizes, ready to be run.

    Attributes
    ----------
    name, title : str
    steps : tuple of Step
        In order; each uses marks of earlier ones only. Steps that belong to one line of the file
        (stepping off several points) share its number. The last ones draw the sides of the figure
        that no earlier step has drawn.
    vertices : tuple of str
        Points that are the figure's vertices in order round it; empty when there is no figure.
    sides : tuple of str
        The line of each side, from vertex i to i + 1; empty when the figure is its points only.
    intended : Intended or None
        None when the method is exact.
    sizes : Mapping[str, float]
        At which it is taken.
    """

    name: str
    title: str
    steps: tuple[Step, ...]
    vertices: tuple[str, ...]
    sides: tuple[str, ...]
    intended: Intended | None
    sizes: Mapping[str, float] = field(default_factory=dict)


@dataclass(frozen=True, slots=True)
class Construction:
    """A construction as its file gives it, checked.

    Attributes
    ----------
    name : str
        The file's name without its ending.
    title : str
    exact : bool
        Whether the method, done perfectly, gives the intended figure.
    sources : tuple of str
        Where it is published.
    sizes : Mapping[str, float]
        Names of the sizes and their values when nobody gives others.
    document : Mapping
        The file's contents.
    """

    name: str
    title: str
    exact: bool
    sources: tuple[str, ...]
    sizes: Mapping[str, float]
    document: Mapping[str, object] = field(repr=False)
