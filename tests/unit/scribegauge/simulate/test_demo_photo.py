"""The bundled photo, its layout and what was measured beside it belong together."""

import io
import tomllib
from importlib.resources import files

import numpy as np
import pytest
from PIL import ExifTags, Image

from scribegauge.simulate.demo_photo import demo_scene, main
from scribegauge.simulate.polygon import inner_angles_deg, sides_mm
from scribegauge.simulate.render import render
from scribegauge.simulate.truth import truth_of
from scribetarget.spec import load_specs

FOLDER = files("scribegauge").joinpath("demo")
LAYOUT = tomllib.loads(FOLDER.joinpath("demo-layout.toml").read_text(encoding="utf-8"))
GIVEN = tomllib.loads(FOLDER.joinpath("demo-given.toml").read_text(encoding="utf-8"))


def _photo():
    return Image.open(io.BytesIO(FOLDER.joinpath(GIVEN["photo"]).read_bytes()))


def test_one_side_is_too_long_and_all_else_is_within():
    intended = np.array(LAYOUT["polygon"]["vertices_mm"], dtype=float)
    truth = truth_of(demo_scene())
    off_mm = truth.sides_mm - sides_mm(intended)
    off_deg = truth.angles_deg - inner_angles_deg(intended)
    assert 0.28 < off_mm[4] < 0.34
    assert np.abs(np.delete(off_mm, 4)).max() < LAYOUT["tolerance"]["side_mm"] / 4
    assert np.abs(off_deg).max() < LAYOUT["tolerance"]["angle_deg"] / 2


def test_what_is_given_is_the_scene():
    scene = demo_scene()
    bars = np.array(scene.paper.print_scale) * load_specs()[GIVEN["target"]].check_bar_mm
    np.testing.assert_allclose(GIVEN["bars_mm"], bars, atol=0.011, err_msg="mm")
    assert GIVEN["thickness_mm"] == scene.plate.thickness_mm
    assert scene.paper.size == GIVEN["target"]


def test_the_photo_is_small_and_tells_its_camera():
    assert len(FOLDER.joinpath(GIVEN["photo"]).read_bytes()) < 1_200_000
    with _photo() as image:
        assert image.size == demo_scene().camera.size_px
        lens = image.getexif().get_ifd(ExifTags.IFD.Exif)
    assert lens[ExifTags.Base.FocalLengthIn35mmFilm] == 27


@pytest.mark.slow
def test_the_photo_is_the_scene():
    from scribegauge.simulate.demo_photo import SEED

    with _photo() as image:
        bundled = np.asarray(image.convert("L"), dtype=np.int16)
    again = np.asarray(Image.fromarray(render(demo_scene(), SEED)).convert("L"), dtype=np.int16)
    assert np.abs(bundled - again).mean() < 2.5
    assert np.corrcoef(bundled[::3, ::3].ravel(), again[::3, ::3].ravel())[0, 1] > 0.998


def test_wrong_use_is_said(capsys):
    assert main([]) == 2
    assert "OUT.jpg" in capsys.readouterr().err
