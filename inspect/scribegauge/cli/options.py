"""Numbers given on the command line, read strictly and refused with the cure.

A number is plain digits with a decimal point. Anything that could mean two things (a decimal
comma, inches, an exponent) is refused: a caliper reading taken wrongly shifts every side.
"""

import re
from typing import Any, Final

import click

from scribegauge.figure.ranges import (
    BAR_RANGE_MM,
    ERROR_RANGE_MM,
    THICKNESS_RANGE_MM,
    TRIALS_RANGE,
)

_NUMBER: Final = re.compile(r"[0-9]{1,6}(\.[0-9]{0,9})?|\.[0-9]{1,9}")
_WITH_COMMA: Final = re.compile(r"([0-9]+),([0-9]+)")


class BarsType(click.ParamType[tuple[float, float]]):
    """Two lengths ``X,Y`` in millimetres, as read from a caliper on the check bars."""

    name = "X,Y"

    def convert(
        self, value: Any, param: click.Parameter | None, ctx: click.Context | None
    ) -> tuple[float, float]:
        """Return (x, y) in mm, or end with a sentence."""
        if not isinstance(value, str):
            return value  # type: ignore[no-any-return]
        parts = [part.strip() for part in value.split(",")]
        if len(parts) != 2 or not all(map(_NUMBER.fullmatch, parts)):  # noqa: PLR2004 - x and y
            self.fail(f"{value!r} is not two lengths. {_bars_cure(value)}", param, ctx)
        x_mm, y_mm = map(float, parts)
        if "." not in value and x_mm != y_mm:
            self.fail(
                f"{value!r} could be one length with a decimal comma. Write two lengths with "
                f"decimal points: {x_mm:.1f},{y_mm:.1f}.",
                param,
                ctx,
            )
        least, most = BAR_RANGE_MM
        for length_mm in (x_mm, y_mm):
            if not least <= length_mm <= most:
                self.fail(
                    f"a check bar cannot be {length_mm:g} mm long. Measure the bars drawn beside "
                    "the target in millimetres (they are drawn 60 or 100 long), e.g. 100.1,99.8.",
                    param,
                    ctx,
                )
        return x_mm, y_mm


class ThicknessType(click.ParamType[float]):
    """A plate's thickness in millimetres."""

    name = "MM"

    def convert(
        self, value: Any, param: click.Parameter | None, ctx: click.Context | None
    ) -> float:
        """Return the thickness in mm, or end with a sentence."""
        if not isinstance(value, str):
            return value  # type: ignore[no-any-return]
        thickness_mm = _length_mm(self, value, "0.8", param, ctx)
        least, most = THICKNESS_RANGE_MM
        if not least <= thickness_mm <= most:
            self.fail(
                f"a plate cannot be {thickness_mm:g} mm thick here. Measure it with a caliper; "
                f"from {least:g} to {most:g} mm can be judged.",
                param,
                ctx,
            )
        return thickness_mm


class ErrorType(click.ParamType[float]):
    """The largest error of an instrument, in millimetres: so far off at most, either way."""

    name = "MM"

    def convert(
        self, value: Any, param: click.Parameter | None, ctx: click.Context | None
    ) -> float:
        """Return the error in mm, or end with a sentence."""
        if not isinstance(value, str):
            return value  # type: ignore[no-any-return]
        error_mm = _length_mm(self, value.strip().removeprefix("±"), "0.02", param, ctx)
        least, most = ERROR_RANGE_MM
        if not least <= error_mm <= most:
            self.fail(
                f"no reading is good to {error_mm:g} mm. Give what the instrument may be off at "
                f"most, from {least:g} to {most:g} mm; a caliper is good to 0.02.",
                param,
                ctx,
            )
        return error_mm


class TrialsType(click.ParamType[int]):
    """A number of random trials: enough for an interval of 95 %, and soon done."""

    name = "N"

    def convert(self, value: Any, param: click.Parameter | None, ctx: click.Context | None) -> int:
        """Return the number, or end with a sentence."""
        if not isinstance(value, str):
            return value  # type: ignore[no-any-return]
        text = value.strip()
        least, most = TRIALS_RANGE
        if not re.fullmatch(r"[0-9]{1,9}", text) or not least <= int(text) <= most:
            self.fail(
                f"{value!r} is no number of trials. Give a whole number from {least} to {most}; "
                "100000 takes some seconds.",
                param,
                ctx,
            )
        return int(text)


class PercentType(click.ParamType[float]):
    """A share from 0 to 100 %."""

    name = "PERCENT"

    def convert(
        self, value: Any, param: click.Parameter | None, ctx: click.Context | None
    ) -> float:
        """Return the percentage, or end with a sentence."""
        if not isinstance(value, str):
            return value  # type: ignore[no-any-return]
        text = value.strip().removesuffix("%").strip()
        if not _NUMBER.fullmatch(text) or float(text) > 100:  # noqa: PLR2004 - per cent
            self.fail(f"{value!r} is not a share from 0 to 100 %, e.g. 45.", param, ctx)
        return float(text)


def _length_mm(
    kind: click.ParamType[float],
    value: str,
    example: str,
    param: click.Parameter | None,
    ctx: click.Context | None,
) -> float:
    """Read plain digits with a decimal point, or end with a sentence."""
    text = value.strip()
    if not _NUMBER.fullmatch(text):
        pointed = text.replace(",", ".")
        meant = pointed if _NUMBER.fullmatch(pointed) else example
        kind.fail(
            f"{value!r} is not a length. Give millimetres with a decimal point and no unit, "
            f"e.g. {meant}.",
            param,
            ctx,
        )
    return float(text)


BARS: Final = BarsType()
ERROR: Final = ErrorType()
PERCENT: Final = PercentType()
THICKNESS: Final = ThicknessType()
TRIALS: Final = TrialsType()


def _bars_cure(value: str) -> str:
    """Say what to type; decimal commas are turned into points where the meaning is plain."""
    pairs = _WITH_COMMA.findall(value)
    shape = _WITH_COMMA.sub("#", value).strip()
    if len(pairs) == 2 and re.fullmatch(r"#[\s,;/x]+#", shape):  # noqa: PLR2004 - x and y
        meant = ",".join(f"{whole}.{part}" for whole, part in pairs)
        return f"Write decimal points, and one comma between the two: {meant}."
    numbers = re.findall(r"[0-9]+(?:\.[0-9]+)?", value)
    if len(numbers) == 2:  # noqa: PLR2004 - x and y
        return f"Write them with one comma between and no unit: {','.join(numbers)}."
    return "Give both bars in millimetres with one comma between, e.g. 100.1,99.8."
