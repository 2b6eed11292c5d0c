"""A file is whole or not there, and what cannot be written is said in one sentence."""

import os
from pathlib import Path

import pytest

from scribegauge.errors import UseError
from scribegauge.report.atomic import write_aside


def test_writes_and_replaces(tmp_path: Path) -> None:
    target = tmp_path / "a.json"
    write_aside(target, b"one")
    write_aside(target, b"two")
    assert target.read_bytes() == b"two"
    assert list(tmp_path.iterdir()) == [target]


def test_a_missing_folder_is_named(tmp_path: Path) -> None:
    with pytest.raises(UseError, match="no folder") as caught:
        write_aside(tmp_path / "nowhere" / "a.json", b"x")
    assert caught.value.code == "cannot_write"
    assert "nowhere" in caught.value.text
    assert caught.value.cure


def test_a_folder_is_no_file(tmp_path: Path) -> None:
    with pytest.raises(UseError, match="is a folder"):
        write_aside(tmp_path, b"x")


def test_a_nul_byte_in_the_name_is_a_wrong_name(tmp_path: Path) -> None:
    with pytest.raises(UseError, match="Choose another name"):
        write_aside(tmp_path / "a\0b", b"x")


def test_a_failed_write_leaves_the_old_file_and_no_scraps(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    target = tmp_path / "a.json"
    write_aside(target, b"old")

    def full_disk(_descriptor: int) -> None:
        raise OSError(28, "No space left on device")

    monkeypatch.setattr(os, "fsync", full_disk)
    with pytest.raises(UseError, match="No space left on device"):
        write_aside(target, b"new")
    assert target.read_bytes() == b"old"
    assert list(tmp_path.iterdir()) == [target]


def test_a_link_is_followed_and_stays_a_link(tmp_path: Path) -> None:
    target, link = tmp_path / "a.json", tmp_path / "latest.json"
    target.write_bytes(b"old")
    link.symlink_to(target)
    write_aside(link, b"new")
    assert link.is_symlink()
    assert target.read_bytes() == b"new"


def test_a_pipe_is_written_into_and_stays_a_pipe(tmp_path: Path) -> None:
    pipe = tmp_path / "pipe"
    os.mkfifo(pipe)
    reader = os.open(pipe, os.O_RDONLY | os.O_NONBLOCK)
    try:
        write_aside(pipe, b"through")
        assert os.read(reader, 100) == b"through"
    finally:
        os.close(reader)
    assert pipe.is_fifo()
