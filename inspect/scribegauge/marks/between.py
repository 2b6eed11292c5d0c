"""Measure a line between two points on it, as far as the middle of its groove."""

from dataclasses import replace

import numpy as np
from numpy.typing import NDArray

from scribegauge.marks.groove import fit_groove
from scribegauge.marks.lamp import Lamp
from scribegauge.marks.linefit import SHORTEST_MM, blur_mm, direction, place
from scribegauge.marks.optics import at_middle, describe
from scribegauge.marks.record import LineMark
from scribegauge.marks.strip import cut_strip
from scribegauge.marks.walls import groove_middle
from scribegauge.plate.face import Face


def measure_between(
    grey: NDArray[np.uint8],
    face: Face,
    line: LineMark,
    ends_mm: NDArray[np.float64],
    lamp: Lamp | None = None,
) -> LineMark:
    """Measure a line again on the part between two points only.

    A side is the stroke between its corners: what another stroke does beyond them, along the same
    line, is none of its business.

    Parameters
    ----------
    grey : ndarray, shape (H, W), uint8
    face : Face
    line : LineMark
        As traced over its whole length.
    ends_mm : ndarray, shape (2, 2), float64
        On the line; less than 4 mm apart, the line is returned as it is.
    lamp : Lamp or None
        From which side the light falls on bare metal; None leaves the line where it is seen, as is
        right for a groove through a coat, which shows both walls.
    """
    along = direction(line.ends_mm)
    reach = np.sort((ends_mm - line.ends_mm[0]) @ along)
    length = float(np.hypot(*(line.ends_mm[1] - line.ends_mm[0])))
    first, last = max(float(reach[0]), 0.0), min(float(reach[1]), length)
    if last - first < SHORTEST_MM:
        return line
    part = line.ends_mm[0] + np.array([first, last])[:, None] * along
    strip = cut_strip(grey, face, part[0], part[1])
    seen = fit_groove(strip, 0.0, float(strip.u_mm[-1]))
    ends = place(strip, seen, np.array([0.0, float(strip.u_mm[-1])]))
    again = describe(strip, seen, ends, line.log10_nfa, line.seen, blur_mm(face))
    fit = seen
    if lamp is not None:
        middle = groove_middle(strip, seen, again.width_mm, lamp)
        again, fit = at_middle(again, seen, middle), middle.fit
    # A side drawn along a longer construction line is two strokes in one groove, and which of them
    # is seen cannot be told: where the whole line lies aside of the part, that is in doubt.
    step = ends[1] - ends[0]
    aside = (ends - line.ends_mm[0]) @ np.array([-along[1], along[0]])
    shift, turn = aside.mean() / 2, (aside[1] - aside[0]) / 4
    beyond = np.array([-first, length - first])
    stretch = length / float(np.hypot(*step))
    return replace(
        again,
        ends_mm=place(strip, fit, beyond),
        u_optics_mm=float(np.hypot(again.u_optics_mm, shift)),
        u_optics_turn_mm=float(np.hypot(again.u_optics_turn_mm, turn) * stretch),
    )
