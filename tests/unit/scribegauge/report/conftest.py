"""Readings of made-up plates: a regular figure, scribed a little off, seen by a turned camera."""

from collections.abc import Callable

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


@pytest.fixture(scope="session")
def make_reading() -> Callable[..., Reading]:
    def make(count=5, lost=(), tolerance_mm=0.0, title="Practice blank, A-12", others=1):
        rng = np.random.default_rng(7)
        angle = 2 * np.pi * np.arange(count) / count
        ideal = 20.0 * np.column_stack([np.cos(angle), np.sin(angle)])
        scribed = ideal + rng.normal(0, 0.08, ideal.shape)
        names = _names(count)
        gone = {m % count for k in lost for m in (k, k + 1)}
        vertices = tuple(
            VertexReading(n, None, None, None)
            if k in gone
            else VertexReading(n, *map(float, scribed[k]), _photo_px(scribed[k])[0])
            for k, n in enumerate(names)
        )
        lines = [
            LineReading(
                f"{names[k]}-{names[(k + 1) % count]}",
                tuple(map(float, scribed[k])),
                tuple(map(float, scribed[(k + 1) % count])),
                *(0.06, "dark", 0.9, False),
                tuple(_photo_px(np.linspace(scribed[k], scribed[(k + 1) % count], 9))),
            )
            for k in range(count)
            if k not in lost
        ]
        for _ in range(others):
            ends = np.array([[-20.0, -3.0], [20.0, 4.0]])
            path = tuple(_photo_px(np.linspace(*ends, 9)))
            lines.append(
                LineReading("", *map(tuple, ends.tolist()), *(0.06, "double", 0.8, False), path)
            )
        angles = tuple(
            AngleReading(n, 180 - 360 / count, *[None] * 4, (), ())
            if k in gone
            else AngleReading(n, 180 - 360 / count, 108.1234567, 0.1234567, 0.08, None, (), ())
            for k, n in enumerate(names)
        )
        square = [[-26, -26], [26, -26], [26, 26], [-26, 26]]
        plate = PlateReading(
            *("M", 1.0, PX_PER_MM, 12.0, tuple(_photo_px(square))),
            tuple(map(tuple, ideal.tolist())),
            tuple(_photo_px(ideal)),
        )
        pricks = tuple(
            PrickReading(n, *map(float, p), 0.02, _photo_px(p)[0], 0.05, 0.3)
            for n, p in zip(names, scribed, strict=True)
        )
        photo = PhotoReading(
            "plate.jpg", "0" * 64, WIDTH_PX, HEIGHT_PX, "2026:03:04 18:22:01", "c.json"
        )
        reasons = (Reason("no_camera", "No camera profile was given; make one with your phone."),)
        return Reading(
            *("warned", reasons, title, (photo,), plate, vertices),
            _sides(names, ideal, scribed, lost, tolerance_mm),
            *(angles, pricks, tuple(lines), "scribegauge 0.1.0"),
            tolerance_side_mm=tolerance_mm or None,
        )

    return make


@pytest.fixture(scope="session")
def photo() -> Photo:
    rgb = np.full((HEIGHT_PX, WIDTH_PX, 3), (150, 140, 100), np.uint8)
    grey = np.full((HEIGHT_PX, WIDTH_PX), 138, np.uint8)
    facts = LensFacts("", "", None, None, None, None)
    return Photo("plate.jpg", "0" * 64, rgb, grey, facts)
