"""What is read about the lens, and what is not."""

import dataclasses
import io
import struct

import pytest
from PIL import Image
from PIL.TiffImagePlugin import IFDRational

from scribegauge.photo.facts import lens_facts, orientation
from scribegauge.photo.load import photo_from_bytes
from scribegauge.photo.record import LensFacts

NOTHING = LensFacts("", "", None, None, None, None)
PLACE = 47.123456


def full_exif():
    exif = Image.Exif()
    exif[0x010F], exif[0x0110], exif[0x013B] = "TestCam\0", " cam1 ", "Somebody"
    lens = exif.get_ifd(0x8769)
    lens[0x920A], lens[0xA405] = IFDRational(7238, 1000), 27
    lens[0xA404], lens[0x9003] = IFDRational(0, 1), "2026:10:26 18:30:00"
    lens[0xA431], lens[0x9286] = "SERIAL-77", b"ASCII\0\0\0comment"
    place = exif.get_ifd(0x8825)
    place[1], place[2] = "N", (IFDRational(47), IFDRational(7), IFDRational(24444, 1000))
    return exif


def photo_with(exif):
    stream = io.BytesIO()
    Image.new("RGB", (400, 320), "white").save(stream, "JPEG", exif=exif)
    return photo_from_bytes(stream.getvalue(), "a")


def test_lens_facts_and_nothing_else():
    facts = photo_with(full_exif()).facts
    assert facts == LensFacts("TestCam", "cam1", 7.238, 27.0, 1.0, "2026-10-26T18:30:00")
    text = repr(dataclasses.asdict(facts))
    assert "SERIAL" not in text
    assert "47" not in text
    assert "Somebody" not in text


def test_no_exif():
    assert photo_with(b"").facts == NOTHING


@pytest.mark.parametrize(
    "broken",
    [
        b"Exif\0\0MM\0*\0\0\0\x08\0\x05",
        b"Exif\0\0II*\0\xff\xff\xff\x7f",
        b"Exif\0\0nonsense",
        b"Exif\0\0MM\0*\0\0\0\x08\0\x01\x87\x69\0\4\0\0\0\1\xff\xff\xff\xf0\0\0\0\0",
        # Lens directory: focal length as a rational with denominator 0.
        b"Exif\0\0MM\0*\0\0\0\x08\0\x01\x87\x69\0\4\0\0\0\1\0\0\0\x1a\0\0\0\0"
        b"\0\x01\x92\x0a\0\5\0\0\0\1\0\0\0\x2c\0\0\0\0" + struct.pack(">II", 5, 0),
    ],
)
def test_broken_exif_does_not_stop_a_good_picture(broken):
    photo = photo_with(broken)
    assert photo.facts == NOTHING
    assert photo.rgb.shape == (320, 400, 3)


def test_a_lens_directory_that_cannot_be_read(monkeypatch):
    def broken(*_):
        raise struct.error("unpack requires a buffer of 2 bytes")

    exif = full_exif()
    monkeypatch.setattr(Image.Exif, "get_ifd", broken)
    assert lens_facts(exif) == LensFacts("TestCam", "cam1", None, None, None, None)


def test_exif_that_cannot_be_read_at_all(monkeypatch):
    def broken(*_):
        raise SyntaxError("not a TIFF file")

    exif = full_exif().tobytes()
    monkeypatch.setattr(Image.Image, "getexif", broken)
    assert photo_with(exif).facts == NOTHING


@pytest.mark.parametrize("value", [0, 9, -1, "6", b"\6", 6.0, (6,)])
def test_no_such_orientation_is_none(value):
    exif = Image.Exif()
    exif[0x0112] = value
    assert orientation(exif) == 1


@pytest.mark.parametrize(
    ("tag", "value"),
    [
        (0x920A, "long"),
        (0x920A, -3.0),
        (0x920A, float("nan")),
        (0xA405, 0),
        (0xA405, 10**9),
        (0xA404, (1, 2)),
        (0x9003, "yesterday"),
        (0x9003, 5),
    ],
)
def test_senseless_values_are_left_out(tag, value):
    exif = Image.Exif()
    exif.get_ifd(0x8769)[tag] = value
    assert lens_facts(exif) == NOTHING


def test_control_characters_and_endless_names_are_cut():
    exif = Image.Exif()
    exif[0x010F], exif[0x0110] = "\x1b[31mRed", "x" * 1000
    facts = lens_facts(exif)
    assert facts.maker == "[31mRed"
    assert len(facts.model) == 64
