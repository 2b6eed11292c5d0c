"""Readings of made-up plates: a regular figure, scribed a little off, seen by a turned camera."""

from collections.abc import Callable
from pathlib import Path

import numpy as np
import pytest

from scribegauge.photo.record import LensFacts, Photo
from scribegauge.report.reading import (
    AngleReading,
    LineReading,
    PhotoReading,
    PlateReading,
    PrickReading,
    Reading,
    Reason,
    SideReading,
    Term,
    VertexReading,
)

KEPT = Path(__file__).parents[4] / "fixtures" / "readings"
PX_PER_MM = 18.0
WIDTH_PX, HEIGHT_PX = 2400, 1800


def _photo_px(points_mm):
    turn = np.radians(25.0)
    cos, sin = np.cos(turn), np.sin(turn)
    turned = np.asarray(points_mm).reshape(-1, 2) @ np.array([[cos, sin], [-sin, cos]])
    return [(float(x), float(y)) for x, y in turned * PX_PER_MM + [1190.4, 910.7]]


def _names(count):
    return tuple(chr(65 + k % 26) + (str(k // 26) if k >= 26 else "") for k in range(count))


def _sides(names, ideal, scribed, lost, tolerance_mm):
    terms = (Term("lens", 0.006), Term("bars", 0.013), Term("thickness", 0.009), Term("x", 0.001))
    unseen = Reason("side_unseen", "The light does not catch this side; move the lamp.")
    sides = []
    for k, name in enumerate(names):
        j = (k + 1) % len(names)
        intended = float(np.hypot(*(ideal[j] - ideal[k])))
        if k in lost or {k, j} & {m for q in lost for m in (q, (q + 1) % len(names))}:
            sides.append(SideReading(name, names[j], intended, *[None] * 4, (unseen,), ()))
            continue
        measured = float(np.hypot(*(scribed[j] - scribed[k])))
        size = abs(measured - intended)
        word = "within" if size < tolerance_mm else "outside"
        verdict = word if tolerance_mm else None
        sides.append(
            SideReading(
                *(name, names[j], intended, measured, measured - intended, 0.034, verdict),
                (),
                terms,
            )
        )
    return tuple(sides)


def _line(side, start, end, look):
    path = tuple(_photo_px(np.linspace(start, end, 9)))
    ends = (tuple(map(float, start)), tuple(map(float, end)))
    return LineReading(side, *ends, *(0.06, look, 0.9, False), path)


def _lines(names, scribed, lost, others):
    count = len(names)
    sides = [
        _line(f"{names[k]}-{names[(k + 1) % count]}", scribed[k], scribed[(k + 1) % count], "dark")
        for k in range(count)
        if k not in lost
    ]
    return (*sides, *[_line("", (-20.0, -3.0), (20.0, 4.0), "double")] * others)


def _vertices(names, scribed, gone):
    return tuple(
        VertexReading(name, None, None, None)
        if k in gone
        else VertexReading(name, *map(float, scribed[k]), _photo_px(scribed[k])[0])
        for k, name in enumerate(names)
    )


def _angles(names, gone):
    intended = 180 - 360 / len(names)
    found = (108.1234567, 0.1234567, 0.08, None)
    return tuple(
        AngleReading(name, intended, *([None] * 4 if k in gone else found), (), ())
        for k, name in enumerate(names)
    )


def _plate(ideal):
    square = [[-26, -26], [26, -26], [26, 26], [-26, 26]]
    laid = tuple(map(tuple, ideal.tolist()))
    where = (tuple(_photo_px(square)), laid, tuple(_photo_px(ideal)))
    return PlateReading("M", 1.0, PX_PER_MM, 12.0, *where)


def _pricks(names, scribed):
    return tuple(
        PrickReading(name, *map(float, p), 0.02, _photo_px(p)[0], 0.05, 0.3)
        for name, p in zip(names, scribed, strict=True)
    )


PHOTO = PhotoReading("plate.jpg", "0" * 64, WIDTH_PX, HEIGHT_PX, "2026:03:04 18:22:01", "c.json")
REASON = Reason("no_camera", "No camera profile was given; make one with your phone.")


@pytest.fixture(scope="session")
def make_reading() -> Callable[..., Reading]:
    def make(count=5, lost=(), tolerance_mm=0.0, title="Practice blank, A-12", others=1):
        angle = 2 * np.pi * np.arange(count) / count
        ideal = 20.0 * np.column_stack([np.cos(angle), np.sin(angle)])
        scribed = ideal + np.random.default_rng(7).normal(0, 0.08, ideal.shape)
        names = _names(count)
        gone = {m % count for k in lost for m in (k, k + 1)}
        return Reading(
            *("warned", (REASON,), title, (PHOTO,), _plate(ideal)),
            _vertices(names, scribed, gone),
            _sides(names, ideal, scribed, lost, tolerance_mm),
            _angles(names, gone),
            _pricks(names, scribed),
            _lines(names, scribed, lost, others),
            "scribegauge 0.1.0",
            tolerance_side_mm=tolerance_mm or None,
        )

    return make


@pytest.fixture(scope="session")
def photo() -> Photo:
    rgb = np.full((HEIGHT_PX, WIDTH_PX, 3), (150, 140, 100), np.uint8)
    grey = np.full((HEIGHT_PX, WIDTH_PX), 138, np.uint8)
    facts = LensFacts("", "", None, None, None, None)
    return Photo("plate.jpg", "0" * 64, rgb, grey, facts)


@pytest.fixture(scope="session")
def kept() -> Callable[[str], str]:
    """Return a function that gives the text of a reading file that was kept."""
    return lambda name: (KEPT / name).read_text(encoding="utf-8")
