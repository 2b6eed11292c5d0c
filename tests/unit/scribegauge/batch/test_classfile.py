"""Class files: what goes for whom, and everything wrong said at once."""

import re
from datetime import date
from pathlib import Path

import pytest

from scribegauge.batch.classfile import ClassFile, load_class
from scribegauge.errors import FileFormatError

TODAY = date(2026, 11, 25)
LAYOUT = "layout = 1\n[polygon]\nvertices_mm = [[0, 0], [40, 0], [40, 26], [0, 26]]\n"
GOOD = """class = 1
title = "Monday"
layout = "square.toml"
due = 2026-11-30
thickness_mm = 0.8
bars_mm = [100.1, 99.9]
tolerance = { side_mm = 0.2 }
[grade]
largest_mm = { A = 0.1, B = 0.2 }
beyond = "C"
[pupils.A-01]
[pupils.A-02]
thickness_mm = 1.0
bars_mm = [[100.0, 99.8], [100.1, 99.8]]
"""


def load(folder: Path, text: str) -> ClassFile:
    (folder / "square.toml").write_text(LAYOUT)
    (folder / "class.toml").write_text(text)
    return load_class(folder / "class.toml", folder / "sheets", TODAY)


def test_what_goes_for_the_class_and_for_one_pupil(tmp_path: Path) -> None:
    found = load(tmp_path, GOOD)
    first, second = (setting.request for setting in found.settings.values())
    assert (found.title, found.due) == ("Monday", date(2026, 11, 30))
    assert list(found.settings) == ["A-01", "A-02"]
    assert (first.thickness_mm, second.thickness_mm) == (0.8, 1.0)
    assert first.bars_mm == ((100.1, 99.9),)
    assert second.bars_mm == ((100.0, 99.8), (100.1, 99.8))
    assert first.layout.tolerance.side_mm == 0.2
    assert first.layout.grade is not None
    assert first.today == TODAY


def test_a_list_of_codes_is_enough(tmp_path: Path) -> None:
    found = load(tmp_path, 'class = 1\nlayout = "square.toml"\npupils = ["A-01", "A-12"]\n')
    assert list(found.settings) == ["A-01", "A-12"]
    assert found.settings["A-01"].request.thickness_mm is None
    assert found.title == "square"


def test_the_digest_changes_with_what_a_reading_goes_by(tmp_path: Path) -> None:
    plain = load(tmp_path, GOOD).settings
    renamed = load(tmp_path, GOOD.replace('"Monday"', '"Tuesday"')).settings
    assert [each.digest for each in renamed.values()] == [each.digest for each in plain.values()]
    thicker = load(tmp_path, GOOD.replace("= 0.8", "= 0.9")).settings
    assert thicker["A-01"].digest != plain["A-01"].digest
    assert thicker["A-02"].digest == plain["A-02"].digest
    strict = load(tmp_path, GOOD.replace("side_mm = 0.2", "side_mm = 0.1")).settings
    assert strict["A-02"].digest != plain["A-02"].digest
    (tmp_path / "square.toml").write_text(LAYOUT.replace("26", "27"))
    other = load_class(tmp_path / "class.toml", tmp_path, TODAY).settings
    assert other["A-01"].digest != strict["A-01"].digest


@pytest.mark.parametrize(
    ("old", "new", "said"),
    [
        ("class = 1", "class = 2", "class is no version known here"),
        ("class = 1", "", "class is missing"),
        ("title", "titel", "titel is not known"),
        ("due = 2026-11-30", 'due = "soon"', "due must be a day"),
        ("thickness_mm = 0.8", "thickness_mm = 80", "must be a number from 0.05 to 10"),
        ("= [100.1, 99.9]", "= [100.1]", "bars_mm must be two lengths"),
        ("= [100.1, 99.9]", "= [10.1, 99.9]", "bars_mm must be two lengths"),
        ("bars_mm = [100.1, 99.9]", 'bars_mm = [100.1, 99.9]\nsheet = "M-1"', "given with bars_mm"),
        ("side_mm = 0.2", "side_mm = -1", "tolerance.side_mm must be"),
        ("[pupils.A-01]", '[pupils."Ann Other"]', "'Ann Other' is no code"),
        ("[pupils.A-01]", "[pupils.a-02]", "holds a code twice"),
        ("thickness_mm = 1.0", "tolerance = 1.0", "pupils.A-02.tolerance is not known"),
        ('layout = "square.toml"', "", "layout is missing"),
        ('layout = "square.toml"', "layout = 3", "layout must be text"),
        ("class = 1", "class = [", "is not TOML"),
    ],
)
def test_what_is_wrong_is_said(tmp_path: Path, old: str, new: str, said: str) -> None:
    assert old in GOOD
    with pytest.raises(FileFormatError) as raised:
        load(tmp_path, GOOD.replace(old, new, 1))
    assert said in raised.value.text


def test_all_faults_come_at_once(tmp_path: Path) -> None:
    bad = GOOD.replace("= 0.8", "= 80").replace("title", "titel")
    with pytest.raises(FileFormatError, match=r"titel.*thickness_mm"):
        load(tmp_path, bad)


def test_no_file(tmp_path: Path) -> None:
    with pytest.raises(FileFormatError) as raised:
        load_class(tmp_path / "none.toml", tmp_path, TODAY)
    assert raised.value.code == "class_missing"


def test_the_readme_s_class_file_can_be_read(tmp_path: Path) -> None:
    readme = (Path(__file__).parents[4] / "README.md").read_text(encoding="utf-8")
    blocks = re.findall(r"```toml\n(.*?)```", readme, re.DOTALL)
    (text,) = (block for block in blocks if block.startswith("class"))
    text = re.sub(r"^(camera|sheet) = .*$", "", text, flags=re.MULTILINE)  # files it names
    found = load(tmp_path, text.replace("bracket.toml", "square.toml"))
    assert list(found.settings) == ["A-01", "A-02"]
