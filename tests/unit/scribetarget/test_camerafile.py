"""Camera files come back as they went, and nothing else is taken for one."""

import json

import numpy as np
import pytest

from scribetarget.camera import Camera
from scribetarget.camerafile import CameraFacts, camera_text, read_camera
from scribetarget.errors import CameraFileError

VALUES = np.array([3040.1, 1.0008, 2029.5, 1500.5, 0.062, -0.118, 0.0006, -0.0004, 0.041])
FACTS = CameraFacts("2026-10-05", 0.0512, (("ring-1.jpg", "ab" * 32),), ("Add a photo.",))


def camera():
    mixing = np.random.default_rng(1).normal(size=(9, 9))
    spread = np.array([0.2, 1e-5, 0.1, 0.1, 3e-4, 1e-3, 3e-5, 3e-5, 1e-3])
    covariance = (mixing @ mixing.T + np.eye(9)) * np.outer(spread, spread)
    return Camera(4032, 3024, VALUES, covariance, "profile", "Bench model A-12", 27.0)


def broken(**changes):
    raw = json.loads(camera_text(camera(), FACTS))
    raw.update(changes)
    return json.dumps({key: value for key, value in raw.items() if value != "gone"})


def refusal(text):
    with pytest.raises(CameraFileError) as caught:
        read_camera(text, "phone.json")
    assert caught.value.cure
    return caught.value


def test_a_camera_comes_back_as_it_went():
    before = camera()
    after = read_camera(camera_text(before, FACTS), "phone.json")
    assert (after.width_px, after.height_px, after.name) == (4032, 3024, "Bench model A-12")
    assert after.source == "profile"
    assert after.focal_35mm == 27.0
    assert after.values == pytest.approx(before.values, rel=1e-11)
    assert after.covariance == pytest.approx(before.covariance, rel=1e-11)


def test_the_version_comes_first_and_a_person_can_read_the_rest():
    text = camera_text(camera(), FACTS)
    raw = json.loads(text)
    assert next(iter(raw.items())) == ("camera", 1)
    assert raw["lens"]["f_px"] == 3040.1
    assert raw["photos"] == [{"name": "ring-1.jpg", "sha256": "ab" * 8}]
    assert (raw["date"], raw["rms_px"], raw["advice"]) == ("2026-10-05", 0.0512, ["Add a photo."])
    assert text.isascii()
    assert text.endswith("\n")


def test_a_key_of_later_times_is_passed_over():
    assert read_camera(broken(colour="red"), "phone.json").width_px == 4032


@pytest.mark.parametrize("version", [2, 0, "1", True, None])
def test_another_version_is_refused(version):
    assert refusal(broken(camera=version)).code == "camera_version"


@pytest.mark.parametrize(
    "text",
    [
        "",
        "lens",
        "[1]",
        "{}",
        "[" * 100_000,
        camera_text(camera(), FACTS)[:400],
        broken(camera="gone"),
        broken(lens="gone"),
        broken(lens={"f_px": 3000}),
        broken(covariance=[[1.0]]),
        broken(covariance=[["x"] * 9] * 9),
        broken(covariance=np.diag([-1.0] * 9).tolist()),
        broken(covariance=np.triu(np.ones((9, 9))).tolist()),
        broken(covariance=np.ones((9, 9)).tolist()),
        broken(width_px=0),
        broken(height_px="3024"),
        broken(width_px=4032.5),
        broken(focal_35mm="27"),
        camera_text(camera(), FACTS).replace("3040.1", "NaN"),
        camera_text(camera(), FACTS).replace("3040.1", "1e999"),
        camera_text(camera(), FACTS).replace("3040.1", "-3040.1"),
        camera_text(camera(), FACTS).replace("3040.1", "true"),
    ],
)
def test_what_is_no_camera_file_is_refused(text):
    assert refusal(text).code == "camera_file_broken"
    assert "phone.json" in refusal(text).text


def test_a_number_that_is_none_is_never_written():
    values = VALUES.copy()
    values[4] = np.nan
    bad = Camera(4032, 3024, values, camera().covariance, "profile", "")
    with pytest.raises(ValueError, match="not JSON compliant"):
        camera_text(bad, FACTS)
