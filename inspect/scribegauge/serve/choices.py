"""From a form to what is measured: figure, tolerance, thickness, sheet and phone."""

import re
from collections.abc import Mapping
from dataclasses import dataclass
from datetime import datetime
from pathlib import Path
from typing import Final

import numpy as np

from scribegauge.figure.hints import Hints
from scribegauge.figure.layout import Layout, Tolerance
from scribegauge.figure.layoutfile import load_layout
from scribegauge.figure.named import figure_layout, figure_names, named_figure, size_words
from scribegauge.figure.ranges import BAR_RANGE_MM, THICKNESS_RANGE_MM
from scribegauge.figure.request import Request
from scribegauge.figure.tolerancefile import CLASSES, WIDEST
from scribegauge.serve.record import Choice, Pointed
from scribegauge.serve.refusals import BenchError
from scribegauge.sheets.shelf import take_sheet
from scribetarget.camera import Camera

LAYOUT: Final = "layout:"
_NUMBER: Final = re.compile(r"[0-9]{1,6}([.,][0-9]{0,9})?|[.,][0-9]{1,9}")
_LARGEST_MM: Final = 10_000.0


@dataclass(frozen=True, slots=True)
class Exercise:
    """One choice on the page: its value in the form, its title, and sizes with their usual values."""

    value: str
    title: str
    sizes: tuple[tuple[str, str, float], ...]


class Exercises:
    """Figures by name, and the layouts that the teacher has in a folder."""

    def __init__(self, folder: Path | None) -> None:
        paths = sorted(folder.glob("*.toml")) if folder is not None else []
        self._layouts = {path.stem: load_layout(path) for path in paths}

    def all(self) -> tuple[Exercise, ...]:
        """Return the teacher's layouts first, then the figures."""
        own = [Exercise(LAYOUT + name, each.title, ()) for name, each in self._layouts.items()]
        figures = map(named_figure, figure_names())
        return (
            *own,
            *(
                Exercise(
                    each.name,
                    each.title,
                    tuple(
                        (k, size_words(k, v).rpartition(f" {v:g}")[0], v)
                        for k, v in each.sizes.items()
                    ),
                )
                for each in figures
            ),
        )

    def named(self, value: str) -> Exercise:
        """Return one of them.

        Raises
        ------
        BenchError
            ``form_invalid``.
        """
        found = next((each for each in self.all() if each.value == value), None)
        if found is None:
            raise BenchError(
                "form_invalid", "No such exercise is on the list.", "Choose one of the list."
            )
        return found

    def layout_of(self, choice: Choice) -> Layout:
        """Return what was intended.

        Raises
        ------
        UseError
            ``figure_size``, ``form_invalid``.
        """
        if choice.figure.startswith(LAYOUT):
            self.named(choice.figure)
            return self._layouts[choice.figure.removeprefix(LAYOUT)]
        return figure_layout(choice.figure, choice.sizes, _tolerance(choice.tolerance))


def choice_of(form: Mapping[str, str], exercises: Exercises) -> Choice:
    """Read a form.

    Parameters
    ----------
    form : Mapping of str to str
        Fields of the page for a new plate.
    exercises : Exercises

    Raises
    ------
    UseError
        ``form_invalid`` with the field that is wrong, ``figure_size``.
    """
    exercise = exercises.named(form.get("figure", ""))
    sizes = {
        key: _required(form, f"size-{key}", words, (0.0, _LARGEST_MM))
        for key, words, _ in exercise.sizes
        if form.get(f"size-{key}", "").strip()
    }
    bars = [number_of(form, f"bar-{axis}", f"Bar {axis}", BAR_RANGE_MM) for axis in "xy"]
    known = tuple(bar for bar in bars if bar is not None)
    sheet = form.get("sheet", "").strip()
    if len(known) == 1:
        raise _wrong("Bar x and bar y", "both are needed, or neither")
    choice = Choice(
        exercise.value,
        sizes,
        tolerance_text(form),
        number_of(form, "thickness", "The thickness", THICKNESS_RANGE_MM),
        "" if known else sheet[:60],
        known,
        form.get("phone", "").strip()[:60],
    )
    exercises.layout_of(choice)
    return choice


def tolerance_text(form: Mapping[str, str]) -> str:
    """Return the tolerance of a form as ``--tolerance`` takes it."""
    chosen = form.get("tolerance", "")
    if chosen in CLASSES:
        return chosen
    if chosen != "own":
        return ""
    side = number_of(form, "side", "The tolerance of sides", (1e-3, WIDEST["side_mm"]))
    angle = number_of(form, "angle", "The tolerance of angles", (1e-3, WIDEST["angle_deg"]))
    parts = [("side", side), ("angle", angle)]
    return ",".join(f"{key}={value:g}" for key, value in parts if value is not None)


def number_of(
    form: Mapping[str, str], field: str, words: str, limits: tuple[float, float]
) -> float | None:
    """Read one number; a comma is a decimal point, for each field holds one number only.

    Raises
    ------
    BenchError
        ``form_invalid``.
    """
    text = form.get(field, "").strip()
    if not text:
        return None
    least, most = limits
    value = float(text.replace(",", ".")) if _NUMBER.fullmatch(text) else np.nan
    if not least <= value <= most:
        raise _wrong(words, f"{text[:20]!r} is not a number from {least:g} to {most:g}")
    return float(value)


def request_of(
    choice: Choice,
    layout: Layout,
    camera: Camera | None,
    sheet_folder: Path,
    pointed: Pointed | None = None,
) -> Request:
    """Return what ``scribegauge check`` would be asked for by the same numbers.

    Raises
    ------
    UseError, SheetError
        When the sheet's record cannot be used.
    """
    today = datetime.now().astimezone().date()
    sheet = take_sheet(sheet_folder, choice.sheet, today) if choice.sheet else None
    bars = ((choice.bars_mm[0], choice.bars_mm[1]),) if choice.bars_mm else ()
    said = pointed is not None and bool(pointed.sides or pointed.pricks)
    hints = (hints_of(pointed),) if pointed is not None and said else ()
    return Request(layout, choice.thickness_mm, bars, camera, sheet, today=today, hints=hints)


def hints_of(pointed: Pointed) -> Hints:
    """Return hints as `scribegauge.figure.hintsfile` reads them from a file."""
    return Hints(
        {side: np.array(ends, np.float64) for side, ends in pointed.sides.items()},
        {at: np.array(place, np.float64) for at, place in pointed.pricks.items()},
    )


def _tolerance(text: str) -> Tolerance:
    if text in CLASSES:
        return Tolerance(None, None, text)
    given = dict(part.split("=") for part in text.split(",") if part)
    side, angle = (float(given[key]) if key in given else None for key in ("side", "angle"))
    return Tolerance(side, angle)


def _required(
    form: Mapping[str, str], field: str, words: str, limits: tuple[float, float]
) -> float:
    value = number_of(form, field, words.capitalize(), limits)
    if value is None:
        raise _wrong(words.capitalize(), "it is needed")
    return value


def _wrong(words: str, why: str) -> BenchError:
    return BenchError(
        "form_invalid", f"{words}: {why}.", "Go back and correct it; millimetres, no unit."
    )
