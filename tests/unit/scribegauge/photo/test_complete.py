"""Half a picture is never taken for a whole one."""

import io
from pathlib import Path

import numpy as np
import pytest
from PIL import Image

from scribegauge.errors import PhotoError
from scribegauge.photo.complete import boxes_are_complete, jpeg_is_complete
from scribegauge.photo.load import photo_from_bytes

PHOTOS = Path(__file__).parents[4] / "fixtures" / "photos"
SCENE = Image.fromarray(np.random.default_rng(3).integers(0, 256, (320, 400, 3), dtype=np.uint8))


def encoded(kind, **options):
    stream = io.BytesIO()
    SCENE.save(stream, kind, **options)
    return stream.getvalue()


WHOLE = {
    "jpeg": encoded("JPEG"),
    "progressive": encoded("JPEG", progressive=True),
    "png": encoded("PNG"),
    "tiff": encoded("TIFF"),
    "tiff-lzw": encoded("TIFF", compression="tiff_lzw"),
    "webp": encoded("WEBP"),
    "avif": encoded("AVIF"),
    "heic": (PHOTOS / "heic" / "RGB_8__128x128.heif").read_bytes(),
}


def refusal(data):
    with pytest.raises(PhotoError) as caught:
        photo_from_bytes(data, "a", least_side_px=1)
    return caught.value.code


@pytest.mark.parametrize("kind", WHOLE)
def test_whole_files_are_read(kind):
    assert photo_from_bytes(WHOLE[kind], "a", least_side_px=1).grey.std() > 5


@pytest.mark.parametrize("share", [0.3, 0.6, 0.9, 0.99])
@pytest.mark.parametrize("kind", WHOLE)
def test_a_cut_file_is_refused(kind, share):
    data = WHOLE[kind]
    assert refusal(data[: int(share * len(data))]) in {"photo_truncated", "photo_unreadable"}


@pytest.mark.parametrize("share", [0.3, 0.9])
@pytest.mark.parametrize("kind", ["jpeg", "progressive"])
def test_a_jpeg_whose_tail_is_zeros_is_refused(kind, share):
    data = WHOLE[kind]
    kept = int(share * len(data))
    assert refusal(data[:kept] + bytes(len(data) - kept)) == "photo_truncated"


def test_a_cut_jpeg_with_an_end_put_on_is_refused():
    data = WHOLE["jpeg"]
    assert jpeg_is_complete(data[: len(data) // 2] + b"\xff\xd9")
    assert refusal(data[: len(data) // 2] + b"\xff\xd9") == "photo_truncated"


def test_what_follows_the_picture_does_no_harm():
    photo_from_bytes(WHOLE["jpeg"] + b"a short film" * 100, "a")
    assert not jpeg_is_complete(b"\xff\xd8\xff\xe1\xff\xff\xff\xd9")  # the end is inside a block


@pytest.mark.parametrize("share", [0.1, 0.5, 0.9, 0.9999])
def test_a_cut_heic_is_refused(share):
    data = (PHOTOS / "heic" / "arrow.heic").read_bytes()
    kept = int(share * len(data))
    assert refusal(data[:kept]) == "photo_truncated"
    if len(data) - kept > 5000:
        assert refusal(data[:kept] + bytes(len(data) - kept)) == "photo_truncated"


def test_boxes():
    head = (16).to_bytes(4) + b"ftypheic" + bytes(4)
    long = (1).to_bytes(4) + b"mdat" + (24).to_bytes(8) + b"12345678"
    assert boxes_are_complete(head + long)
    assert not boxes_are_complete((head + long)[:-1])
    assert boxes_are_complete(head + (0).to_bytes(4) + b"mdatanything")
    assert not boxes_are_complete(head + (3).to_bytes(4) + b"mdat")


@pytest.mark.parametrize(
    ("name", "code"),
    [
        ("robustness/pillow/truncated_jpeg.jpg", "photo_truncated"),
        ("robustness/pillow/broken_data_stream.png", "photo_truncated"),
        ("robustness/scikit-image/truncated.jpg", "photo_unreadable"),
        ("robustness/libjpeg-turbo/monkey12.jpg", "photo_unreadable"),
        ("robustness/pillow/broken.png", "photo_unreadable"),
        ("robustness/pillow/decompression_bomb.gif", "photo_unreadable"),
        ("heic/truncated.heic", "photo_truncated"),
        ("heic/corrupted.heic", "photo_unreadable"),
        ("heic/corrupted.hif", "photo_unreadable"),
        ("heic/empty.heic", "photo_empty"),
    ],
)
def test_broken_files_of_others(name, code, capfd):
    assert refusal((PHOTOS / name).read_bytes()) == code
    assert capfd.readouterr() == ("", "")


@pytest.mark.parametrize(
    ("name", "shape", "mean"),
    [
        ("pillow/pil_sample_cmyk.jpg", (100, 100), 13),
        ("pillow/tiff_strip_cmyk_jpeg.tif", (100, 100), 13),
        ("pillow/hopper_gray.jpg", (128, 128), 85),
        ("pillow/hopper_16bit_qtables.jpg", (128, 128), 85),
        ("pillow/hopper_orientation_6.jpg", (128, 128), 85),
        ("pillow/orientation_rectangle.jpg", (2, 1), 76),
        ("pillow/tiff_16bit_RGB.tiff", (40, 100), 32),
        ("pillow/jpeg_ff00_header.jpg", (225, 300), 90),
        ("pillow/icc-after-SOF.jpg", (10, 10), 0),
        ("pillow/truncated_app14.jpg", (100, 100), 11),
        ("pillow/truncated_exif_dpi.jpg", (640, 480), 255),
        ("pillow/invalid-exif.jpg", (200, 200), 92),
        ("pillow/hopper_bad_exif.jpg", (500, 500), 125),
        ("pillow/sugarshack.mpo", (480, 640), 111),
        ("libjpeg-turbo/testimgari.jpg", (149, 227), 106),
        ("libjpeg-turbo/testimgint.jpg", (149, 227), 106),
        ("libjpeg-turbo/monkey16.png", (227, 149), 95),
        ("scikit-image/chessboard_GRAY_U16.tif", (200, 200), 127),
    ],
)
def test_unusual_files_of_others(name, shape, mean, capfd):
    photo = photo_from_bytes((PHOTOS / "robustness" / name).read_bytes(), "a", least_side_px=1)
    assert photo.grey.shape == shape
    assert abs(photo.grey.mean() - mean) < 1
    assert capfd.readouterr() == ("", "")
