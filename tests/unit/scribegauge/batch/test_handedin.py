"""Whose photo is whose."""

from pathlib import Path

import pytest

from scribegauge.batch.handedin import code_of, look_through
from scribegauge.errors import UseError

CODES = ("A-1", "A-01", "A-02", "A-03", "A-04", "A-12")


def test_every_photo_finds_its_pupil(folder: Path) -> None:
    found = look_through(folder, CODES)
    plates = [(plate.pupil, [photo.name for photo in plate.photos]) for plate in found.plates]
    assert plates == [
        ("A-01", ["A-01 square.jpg"]),
        ("A-02", ["a-02_square.JPG"]),
        ("A-03", ["first.jpg"]),
        ("A-03", ["left.jpg", "right.jpg"]),
        ("A-04", ["blurred.png"]),
    ]
    assert found.missing == ("A-1", "A-12")
    assert found.strangers == ("holiday.jpg",)
    assert found.twins == ()
    assert found.plates[0].name.startswith("square-")


@pytest.mark.parametrize(
    ("name", "code"),
    [
        ("A-1.jpg", "A-1"),
        ("A-12.jpg", "A-12"),
        ("A-120.jpg", None),
        ("a-12 last.heic", "A-12"),
        ("A-1-2.jpg", "A-1"),
        ("plate A-12.jpg", None),
    ],
)
def test_a_code_is_not_the_beginning_of_another(name: str, code: str | None) -> None:
    assert code_of(name, CODES) == code


def test_a_photo_handed_in_twice_is_told(folder: Path) -> None:
    (folder / "A-12.jpg").write_bytes((folder / "A-01 square.jpg").read_bytes())
    assert look_through(folder, CODES).twins == (("A-01 square.jpg", "A-12.jpg"),)


def test_names_of_plates_fit_a_file_and_differ(folder: Path) -> None:
    for name in ("A-12/ünïcode ☃.jpg", "A-12/ünïcode ☂.jpg", "A-12/....jpg"):
        path = folder / name
        path.parent.mkdir(exist_ok=True)
        path.write_bytes(name.encode())
    names = [plate.name for plate in look_through(folder, CODES).plates if plate.pupil == "A-12"]
    assert len(set(names)) == len(names) >= 2
    assert all(name.isascii() and "/" not in name and not name.startswith(".") for name in names)


@pytest.mark.parametrize("empty", [True, False])
def test_a_folder_without_photos_is_told(tmp_path: Path, *, empty: bool) -> None:
    with pytest.raises(UseError) as raised:
        look_through(tmp_path if empty else tmp_path / "none", CODES)
    assert raised.value.code == "class_folder"
