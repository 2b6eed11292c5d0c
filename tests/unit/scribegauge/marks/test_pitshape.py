import numpy as np
import pytest
from scipy.ndimage import gaussian_filter

from scribegauge.marks.pitshape import blurred_ring, pit_parts, tabulate_pits

STEP_MM = 0.002


def _drawn(inner: float, outer: float, order: int, blur: float) -> tuple[np.ndarray, np.ndarray]:
    """Return the ring drawn on a fine grid and blurred by another library, along the x axis."""
    axis = np.arange(-0.5, 0.5, STEP_MM)
    x, y = np.meshgrid(axis, axis)
    distance = np.hypot(x, y)
    ring = ((distance >= inner) & (distance < outer)) * np.cos(order * np.arctan2(y, x))
    blurred = gaussian_filter(ring, blur / STEP_MM)
    row = len(axis) // 2
    return axis[row:], blurred[row, row:]


@pytest.mark.parametrize("order", [0, 1])
@pytest.mark.parametrize(("inner", "outer", "blur"), [(0.0, 0.12, 0.04), (0.1, 0.14, 0.05)])
def test_matches_a_ring_drawn_and_blurred_pixel_by_pixel(order, inner, outer, blur):
    distance, expected = _drawn(inner, outer, order, blur)
    seen = blurred_ring(distance, (inner, outer), blur, order)
    np.testing.assert_allclose(seen, expected, atol=0.012)


def test_the_table_agrees_with_the_integral_between_its_radii():
    blur, radius = 0.05, 0.1337
    places = np.column_stack([np.linspace(0.0, 0.4, 50), np.zeros(50)])
    parts = pit_parts(tabulate_pits(blur), places, np.log(radius))
    np.testing.assert_allclose(
        parts[:, 0], blurred_ring(places[:, 0], (0, radius), blur, 0), atol=0.004
    )
    np.testing.assert_allclose(
        parts[:, 1], blurred_ring(places[:, 0], (0, radius), blur, 1), atol=0.004
    )


def test_a_side_is_bright_where_its_cosine_is():
    table = tabulate_pits(0.04)
    east, north = pit_parts(table, np.array([[0.08, 0.0], [0.0, 0.08]]), np.log(0.12))
    assert east[1] > 0.3
    assert abs(east[2]) < 1e-9
    assert north[2] == pytest.approx(east[1])
    assert abs(north[1]) < 1e-9
