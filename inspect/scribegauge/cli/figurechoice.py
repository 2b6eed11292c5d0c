"""Which figure was intended: a layout file, or a figure by name and size."""

import re
from collections.abc import Callable, Mapping, Sequence
from pathlib import Path
from typing import TYPE_CHECKING, Any, Final, TypeVar

import click

from scribegauge.cli.intake import FILE

if TYPE_CHECKING:
    from scribegauge.figure.layout import Layout, Tolerance

Command = TypeVar("Command", bound=Callable[..., Any])

_NUMBER: Final = re.compile(r"[0-9]{1,6}(\.[0-9]{0,9})?|\.[0-9]{1,9}")
_POINT: Final = re.compile(r"(-?[0-9.]+),(-?[0-9.]+)")
_CLASSES: Final = ("f", "m", "c", "v")
_TOLERANCES: Final = ("side_mm", "angle_deg", "radius_mm", "place_mm")
_TOLERANCE_CURE: Final = "E.g. --tolerance side=0.15,angle=0.5, or a class of ISO 2768-1: m."
_FEWEST_VERTICES: Final = 3


class VerticesType(click.ParamType[tuple[tuple[float, float], ...]]):
    """Corners ``x,y x,y …`` in millimetres, in order round the figure."""

    name = "X,Y X,Y X,Y"

    def convert(
        self, value: Any, param: click.Parameter | None, ctx: click.Context | None
    ) -> tuple[tuple[float, float], ...]:
        """Return the points, or end with a sentence."""
        found = [_POINT.fullmatch(part) for part in str(value).split()]
        try:
            points = [(float(m[1]), float(m[2])) for m in found if m]
        except ValueError:
            points = []
        if len(points) < max(len(found), _FEWEST_VERTICES):
            cure = 'Write each as x,y with spaces between: --vertices "0,0 40,0 40,26 0,26".'
            self.fail(f"{str(value)[:80]!r} is not three or more corners. {cure}", param, ctx)
        return tuple(points)


SIZE = click.option(
    "--size",
    "sizes",
    multiple=True,
    metavar="SIZES",
    help="Its sizes in mm in their order, 40,26, or by name, width=40,height=26.",
)
TOLERANCE = click.option(
    "--tolerance",
    metavar="LIMITS",
    help="What may be off: side=0.15,angle=0.5 (also radius, place), or a class of ISO 2768-1.",
)
VERTICES = click.option(
    "--vertices", type=VerticesType(), help="Instead of a name: the corners of the figure in mm."
)


def figure_options(command: Command) -> Command:
    """Add the options that say what was intended."""
    layout = click.option("--layout", type=FILE, metavar="FILE", help="The intended figure.")
    figure = click.option(
        "--figure", metavar="NAME", help="Or one by name, as `scribegauge figures` lists them."
    )
    return layout(figure(SIZE(TOLERANCE(command))))


def choose_layout(
    layout: Path | None, figure: str | None, sizes: Sequence[str], tolerance: str | None
) -> "Layout":
    """Return what was intended.

    Raises
    ------
    UseError
        ``no_figure``, ``figure_twice``, ``figure_unknown``, ``figure_size``, ``tolerance_invalid``.
    FileFormatError
        When the layout file cannot be read.
    """
    from scribegauge.errors import UseError
    from scribegauge.figure.layoutfile import load_layout
    from scribegauge.figure.named import figure_layout, named_figure

    if layout is None and figure is None:
        raise UseError(
            "no_figure",
            "Nobody said which figure is on the plate.",
            "Give its layout file with --layout, or its name with --figure and --size.",
        )
    if figure is None and layout is not None and not sizes and tolerance is None:
        return load_layout(layout)
    if figure is None or layout is not None:
        raise UseError(
            "figure_twice",
            "A layout file and a figure by name, size or tolerance do not go together.",
            "Give --layout alone, or --figure with --size and --tolerance.",
        )
    known = sizes_given(named_figure(figure).sizes, sizes, figure)
    return figure_layout(figure, known, tolerance_given(tolerance))


def sizes_given(known: Mapping[str, float], given: Sequence[str], name: str) -> dict[str, float]:
    """Return sizes by their full names.

    Parameters
    ----------
    known : Mapping of str to float
        Those that the figure or construction has.
    given : sequence of str
        ``40,26`` or ``width=40,height=26``, perhaps in several pieces.
    name : str
        Of the figure, for the sentences.

    Raises
    ------
    UseError
        ``figure_size``.
    """
    short = {re.sub("_(mm|deg)$", "", key): key for key in known}
    sizes: dict[str, float] = {}
    parts = [part.strip() for text in given for part in text.split(",")]
    for k, part in enumerate(parts):
        key, sign, value = part.rpartition("=")
        key = key.strip()
        full = key if key in known else short.get(key.replace("-", "_"), "")
        if not sign and k < len(known):
            full = list(known)[k]
        if not full or full in sizes or not _NUMBER.fullmatch(value.strip()):
            raise _no_size(name, part, known)
        sizes[full] = float(value)
    return sizes


def _no_size(name: str, part: str, known: Mapping[str, float]) -> Exception:
    from scribegauge.errors import UseError

    shorter = [re.sub("_(mm|deg)$", "", key) for key in known]
    in_order = ",".join(f"{value:g}" for value in known.values())
    by_name = ",".join(
        f"{key}={value:g}" for key, value in zip(shorter, known.values(), strict=True)
    )
    return UseError(
        "figure_size",
        f"{part[:40]!r} is no size of {name}; it has {', '.join(shorter) or 'none'}.",
        f"E.g. --size {in_order} or --size {by_name}, with decimal points.",
    )


def tolerance_given(text: str | None) -> "Tolerance":
    """Return the tolerance that a text gives; none where there is none.

    Raises
    ------
    UseError
        ``tolerance_invalid``.
    """
    from scribegauge.errors import UseError
    from scribegauge.figure.layout import Tolerance
    from scribegauge.figure.tolerancefile import WIDEST

    own: dict[str, float | None] = dict.fromkeys(_TOLERANCES)
    by_class = None
    for part in (text or "").split(",") if text is not None else ():
        key, sign, value = (piece.strip() for piece in part.rpartition("="))
        full = next((name for name in _TOLERANCES if key in {name, name.rpartition("_")[0]}), "")
        good = bool(_NUMBER.fullmatch(value)) and full != "" and 0 < float(value) <= WIDEST[full]
        if not sign and value in _CLASSES:
            by_class = value
        elif good:
            own[full] = float(value)
        else:
            raise UseError("tolerance_invalid", f"{part[:40]!r} is no tolerance.", _TOLERANCE_CURE)
    return Tolerance(own["side_mm"], own["angle_deg"], by_class, own["radius_mm"], own["place_mm"])
