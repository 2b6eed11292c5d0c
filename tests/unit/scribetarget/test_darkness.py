"""A picture in which paper would be too dark is told from one that shows no sheet."""

import numpy as np
import pytest

from scribetarget.darkness import is_too_dark
from scribetarget.detect import find_ring_part
from scribetarget.errors import SightingError


def scene(brightest):
    rng = np.random.default_rng(5)
    level = rng.normal(0, 4, (200, 300)) + np.linspace(0, brightest, 300)
    return np.clip(level, 0, 255).astype(np.uint8)


@pytest.mark.parametrize(("brightest", "dark"), [(12, True), (22, True), (35, False), (200, False)])
def test_what_paper_would_be(brightest, dark):
    assert is_too_dark(scene(brightest)) == dark


@pytest.mark.parametrize(("brightest", "code"), [(20, "too_dark"), (120, "no_target")])
def test_a_dark_picture_without_markers_is_said_to_be_dark(brightest, code):
    with pytest.raises(SightingError) as caught:
        find_ring_part(scene(brightest))
    assert caught.value.code == code
    assert caught.value.cure
