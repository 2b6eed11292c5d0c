"""Where words may stand."""

from scribegauge.report.labels import Box, Taken


def test_a_box_at_the_very_edge_is_looked_up():
    """Height 4k + 2: the last row of points rounds up past the map's last whole cell."""
    for height in (1480, 1481, 1482, 1483):
        taken = Taken(1600, height)
        half = 50.0
        assert taken.is_free(Box((1600 - half, height - half), 2 * half, 2 * half, 0.0))
