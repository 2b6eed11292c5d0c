"""`scribegauge camera` with a sheet's record, a coverage picture, on a terminal, interrupted."""

import io
import os
import pty
import signal
import subprocess
import sys
from pathlib import Path

import numpy as np
import pytest
from PIL import Image

from scribegauge.cli.main import main
from scribetarget.camerafile import read_camera

PACKAGES = [entry for entry in sys.path if Path(entry).name in {"inspect", "calib"}]


@pytest.fixture
def run(rings, tmp_path, capfd, monkeypatch):
    monkeypatch.setenv("SCRIBEGAUGE_SHEETS", str(tmp_path / "sheets"))

    def call(*words, photos=None):
        chosen = rings.names if photos is None else photos
        paths = [str(rings.folder / name) for name in chosen]
        code = main(["camera", *paths, "--out", str(tmp_path / "phone.json"), *map(str, words)])
        return code, capfd.readouterr()

    return call


@pytest.mark.slow
def test_a_sheet_on_record_serves_as_its_bars_do(run, rings, tmp_path):
    main(["sheet", "add", "S-1", "--size", "S", "--bars", "60.06,59.94"])
    assert run("--sheet", "s-1", photos=rings.names[:4])[0] == 0
    named = (tmp_path / "phone.json").read_text()
    assert run("--bars", "60.06,59.94", photos=rings.names[:4])[0] == 0
    assert named == (tmp_path / "phone.json").read_text()


@pytest.mark.parametrize(
    ("words", "told"),
    [
        (("--sheet", "S-1"), "none is on record"),
        (("--sheet", "S-1", "--bars", "60,60"), "by hand and by the record"),
        (("--coverage", "phone.json"), "Two outputs"),
        (("--coverage", "no/cover.png"), "no folder"),
    ],
)
def test_what_cannot_be_is_said_before_any_work(run, tmp_path, monkeypatch, words, told):
    monkeypatch.chdir(tmp_path)
    monkeypatch.setattr("scribetarget.detect.find_target", lambda _: pytest.fail("worked"))
    code, said = run(*words)
    assert code == 2
    assert told in said.err
    assert not (tmp_path / "phone.json").exists()


def test_a_photo_is_never_overwritten(run, rings):
    code, said = run("--coverage", rings.folder / rings.names[0])
    assert code == 2
    assert "would be overwritten" in said.err


@pytest.mark.slow
def test_without_bars_a_set_of_both_ways_up_gives_lens_and_picture(run, rings, tmp_path):
    """Two photos as a phone saves them that took itself to be upside down."""
    folder = tmp_path / "mixed"
    folder.mkdir()
    for number, name in enumerate(rings.names):
        with Image.open(rings.folder / name) as image:
            exif = image.getexif()
            if number in {1, 4}:
                exif[0x0112] = 3  # turned by 180 degrees
            image.save(folder / name, quality=97, exif=exif)
    picture = tmp_path / "cover.png"
    code, said = run("--coverage", picture, photos=[folder / name for name in rings.names])
    assert code == 0
    assert "turned for it: ring-1.jpg, ring-4.jpg" in " ".join(said.out.split())
    camera = read_camera((tmp_path / "phone.json").read_text(), "")
    away = camera.values - rings.lens
    assert away @ np.linalg.solve(camera.covariance, away) < 28
    with Image.open(io.BytesIO(picture.read_bytes())) as image:
        assert (image.format, image.width) == ("PNG", 1600)
    assert said.err == f"Wrote {tmp_path / 'phone.json'}.\nWrote {picture}.\n"


def start(folder, names, out, stderr):
    """Start the real command, so that it can be sent a real signal."""
    paths = [str(folder / name) for name in names]
    words = ["camera", *paths, "--out", "phone.json", "--coverage", "cover.png"]
    code = "import sys; from scribegauge.cli.main import main; sys.exit(main(sys.argv[1:]))"
    return subprocess.Popen(
        [sys.executable, "-c", code, *words],
        cwd=out,
        env={**os.environ, "PYTHONPATH": os.pathsep.join(PACKAGES)},
        stdout=subprocess.PIPE,
        stderr=stderr,
    )


def read_until(terminal, mark):
    """Return what a terminal shows until a mark, or until it closes."""
    shown = b""
    while mark not in shown:
        try:
            shown += os.read(terminal, 4096)
        except OSError:  # Linux says so when the other end is closed
            break
    return shown


@pytest.mark.slow
@pytest.mark.skipif(sys.platform == "win32", reason="has no such terminals and signals")
def test_control_c_leaves_nothing_half_written_and_a_bar_that_ends(rings, tmp_path):
    (tmp_path / "phone.json").write_text("older")
    terminal, side = pty.openpty()
    command = start(rings.folder, rings.names, tmp_path, side)
    os.close(side)
    shown = read_until(terminal, b"28%")  # two of six photos and the solving
    assert b"Looking at the photos" in shown
    command.send_signal(signal.SIGINT)
    shown += read_until(terminal, b"no such mark")
    os.close(terminal)
    out, _ = command.communicate(timeout=60)
    assert (command.returncode, out) == (130, b"")
    assert shown.decode().splitlines()[-1] == "scribegauge: Interrupted."
    assert b"Traceback" not in shown
    assert [path.name for path in tmp_path.iterdir()] == ["phone.json"]
    assert (tmp_path / "phone.json").read_text() == "older"


@pytest.mark.slow
def test_a_pipe_gets_no_bar(rings, tmp_path):
    command = start(rings.folder, rings.names[:4], tmp_path, subprocess.PIPE)
    out, err = command.communicate(timeout=120)
    assert command.returncode == 0
    assert err.decode().splitlines() == ["Wrote phone.json.", "Wrote cover.png."]
    assert b"focal length" in out
