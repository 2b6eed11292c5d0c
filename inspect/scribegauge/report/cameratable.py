"""A calibration as a plain-text table for a terminal."""

from collections.abc import Sequence

import numpy as np

from scribegauge.report.words import one_line, paragraph
from scribetarget.calibrate import Calibration

COLUMNS = 80
NAME = 40
COVERAGE = 2.0


def camera_table(result: Calibration, skipped: Sequence[tuple[str, str]]) -> str:
    """Set out a calibration for a person.

    Parameters
    ----------
    result : Calibration
    skipped : sequence of (name, reason)
        Photos that showed no usable target.

    Returns
    -------
    str
        Lines of at most 80 columns.
    """
    left_out = [*skipped, *result.left_out]
    blocks = [
        _photos(result),
        _turned(result),
        _left_out(left_out),
        _figures(result),
        _advice(result.advice),
    ]
    return "\n\n".join("\n".join(block) for block in blocks if block) + "\n"


def _photos(result: Calibration) -> list[str]:
    head = f"{'photo':<{NAME}}{'corners':>10}{'rms px':>12}{'tilt deg':>12}"
    rows = [
        f"{one_line(each.name, NAME):<{NAME}}{each.corners:>10}{each.rms_px:>12.3f}"
        f"{each.tilt_deg:>12.0f}"
        for each in result.photos
    ]
    return [head, *rows]


def _turned(result: Calibration) -> list[str]:
    names = [one_line(each.name, NAME) for each in result.photos if each.turned]
    text = f"Held the other way up than the others, and turned for it: {', '.join(names)}"
    return paragraph(text, COLUMNS) if names else []


def _left_out(left_out: Sequence[tuple[str, str]]) -> list[str]:
    lines = [paragraph(f"Left out {name}: {reason}", COLUMNS) for name, reason in left_out]
    return [line for each in lines for line in each]


def _figures(result: Calibration) -> list[str]:
    focal = result.camera.values[0]
    wide = COVERAGE * float(np.sqrt(result.camera.covariance[0, 0]))
    rows = [
        ("focal length", f"{focal:.2f} px, U {wide:.2f} px (k = 2)"),
        ("corners", f"{result.rms_px:.3f} px RMS off"),
        ("held back", f"{result.held_back_um:.0f} um RMS over 50 mm, each photo by the others"),
        (
            "lens",
            f"U {result.cost_um:.0f} um over 50 mm of plate; {result.cost_uncalibrated_um:.0f} um "
            "without this file",
        ),
    ]
    return [f"{name:<16}{text}" for name, text in rows]


def _advice(advice: Sequence[str]) -> list[str]:
    return [line for each in advice for line in paragraph(each, COLUMNS)]
