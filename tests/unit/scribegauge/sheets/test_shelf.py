"""The folder of records: kept whole, found by name, never left half-written."""

from dataclasses import replace
from datetime import date, timedelta
from pathlib import Path

import pytest

from scribegauge.errors import UseError
from scribegauge.sheets.shelf import (
    forget_sheet,
    keep_sheet,
    look_at_shelf,
    take_sheet,
    usual_folder,
)
from scribetarget.errors import SheetError
from scribetarget.sheetrecord import SheetRecord

DAY = date(2026, 10, 5)
RECORD = SheetRecord("M-1", "M", ((100.1, 99.9),), 0.02, DAY)


@pytest.fixture
def folder(tmp_path):
    place = tmp_path / "above" / "sheets"
    keep_sheet(place, RECORD, replace=False)
    return place


def test_a_kept_sheet_is_found_by_its_name_in_any_capitals(folder):
    assert take_sheet(folder, "M-1", DAY) == RECORD
    assert take_sheet(folder, "m-1", DAY) == RECORD
    assert [path.name for path in folder.iterdir()] == ["sheet-m-1.toml"]


def test_an_older_record_is_overwritten_only_when_told(folder):
    newer = replace(RECORD, bars_mm=((100.2, 99.8),))
    with pytest.raises(SheetError, match="--replace"):
        keep_sheet(folder, newer, replace=False)
    assert take_sheet(folder, "M-1", DAY) == RECORD
    keep_sheet(folder, newer, replace=True)
    assert take_sheet(folder, "M-1", DAY) == newer


def test_a_full_disk_leaves_the_older_record(folder, monkeypatch):
    def full(*_args, **_kwargs):
        raise OSError(28, "No space left on device")

    monkeypatch.setattr(Path, "open", full)
    with pytest.raises(UseError, match="No space left"):
        keep_sheet(folder, replace(RECORD, note="new"), replace=True)
    monkeypatch.undo()
    assert take_sheet(folder, "M-1", DAY) == RECORD
    assert len(list(folder.iterdir())) == 1


def test_an_unknown_name_is_told_with_those_there_are(folder):
    keep_sheet(folder, replace(RECORD, name="evening-class"), replace=False)
    with pytest.raises(SheetError, match="on record: evening-class, m-1") as caught:
        take_sheet(folder, "M-2", DAY)
    assert caught.value.code == "sheet_unknown"
    with pytest.raises(SheetError, match="none is on record"):
        take_sheet(folder / "elsewhere", "M-1", DAY)


@pytest.mark.parametrize("name", ["../sheet-m-1", "/etc/passwd", "", ".", "m-1.toml", "a\0b"])
def test_a_name_is_never_a_way_to_another_place(folder, name):
    for act in (
        lambda: take_sheet(folder, name, DAY),
        lambda: forget_sheet(folder, name),
        lambda: keep_sheet(folder, replace(RECORD, name=name), replace=True),
    ):
        with pytest.raises(SheetError) as caught:
            act()
        assert caught.value.code == "sheet_name"
    assert len(list(folder.iterdir())) == 1


def test_a_sheet_measured_tomorrow_is_refused_and_today_is_not(folder):
    assert take_sheet(folder, "M-1", DAY) == RECORD
    with pytest.raises(SheetError, match="2026-10-05") as caught:
        take_sheet(folder, "M-1", DAY - timedelta(days=1))
    assert caught.value.code == "sheet_in_future"


def test_broken_files_are_told_apart_from_the_good_ones(folder):
    (folder / "sheet-half.toml").write_bytes(b"sheet = 1\nname")
    (folder / "sheet-bytes.toml").write_bytes(b"\xff\xfe\x00")
    (folder / "sheet-copy.toml").write_bytes((folder / "sheet-m-1.toml").read_bytes())
    (folder / "notes.txt").write_text("not ours")
    shelf = look_at_shelf(folder)
    assert shelf.records == (RECORD,)
    assert len(shelf.broken) == 3
    assert "called M-1" in shelf.broken[1].text
    with pytest.raises(SheetError) as caught:
        take_sheet(folder, "half", DAY)
    assert caught.value.code == "sheet_file_broken"


def test_a_forgotten_sheet_is_gone_even_a_broken_one(folder):
    (folder / "sheet-half.toml").write_text("sheet")
    forget_sheet(folder, "HALF")
    forget_sheet(folder, "m-1")
    assert look_at_shelf(folder).records == ()
    assert list(folder.iterdir()) == []
    with pytest.raises(SheetError):
        forget_sheet(folder, "m-1")


def test_a_folder_that_is_a_file_is_told(tmp_path):
    file = tmp_path / "file"
    file.write_text("")
    with pytest.raises(UseError, match="Cannot write"):
        keep_sheet(file, RECORD, replace=False)
    with pytest.raises(SheetError, match="none is on record"):
        take_sheet(file, "M-1", DAY)


def test_the_usual_folder_is_the_person_s_own(monkeypatch, tmp_path):
    monkeypatch.setenv("XDG_DATA_HOME", str(tmp_path))
    monkeypatch.setenv("HOME", str(tmp_path))
    folder = usual_folder()
    assert folder.is_absolute()
    assert "scribegauge" in folder.parts
    assert not folder.exists()  # asked for, not made
