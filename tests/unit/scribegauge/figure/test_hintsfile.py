"""Hints files: what they say, and what is said of a faulty one."""

import numpy as np
import pytest

from scribegauge.errors import FileFormatError
from scribegauge.figure.hintsfile import load_hints, read_hints

NAMES = ("A", "B", "C", "D")
GOOD = """hints = 1

[photo1.sides]
A-B = [[812, 1033], [2210, 1020.5]]
A-D = [[800, 1030], [790, 2000]]

[photo2.pricks]
C = [2215, 1700]
"""
JSON = """{"hints": 1,
 "photo1": {"sides": {"A-B": [[812, 1033], [2210, 1020.5]],
                      "A-D": [[800, 1030], [790, 2000]]}},
 "photo2": {"pricks": {"C": [2215, 1700]}}}
"""


@pytest.mark.parametrize("text", [GOOD, JSON])
def test_sides_go_the_way_of_the_figure_and_photos_by_number(text):
    first, second = read_hints(text, "h", NAMES, 2)
    np.testing.assert_array_equal(first.sides[0], [[812, 1033], [2210, 1020.5]])
    # A-D is the side from D to A: its first end is D's.
    np.testing.assert_array_equal(first.sides[3], [[790, 2000], [800, 1030]])
    assert first.pricks == {}
    assert second.sides == {}
    np.testing.assert_array_equal(second.pricks[2], [2215, 1700])


def test_photos_nobody_spoke_of_have_no_hints():
    hints = read_hints("hints = 1\n", "h", NAMES, 3)
    assert len(hints) == 3
    assert all(not each.sides and not each.pricks for each in hints)


@pytest.mark.parametrize(
    ("line", "said"),
    [
        ("A-C = [[1, 2], [3, 4]]", "line 4, photo1.sides.A-C is no side"),
        ("A-B = [1, 2]", "line 4, photo1.sides.A-B must be two places"),
        ("A-B = [[1, 2], [3, '4']]", "line 4, photo1.sides.A-B must be two places"),
        ("A-B = [[1, 2], [3, inf]]", "line 4, photo1.sides.A-B must be two places"),
        ("A-B = [[1, 2], [3, nan]]", "line 4, photo1.sides.A-B must be two places"),
        ("A-B = [[1, 2], [true, 4]]", "line 4, photo1.sides.A-B must be two places"),
        ("A-B = [[1, 2], [1, 2]]", "line 4, photo1.sides.A-B has both ends at one place"),
        ("[photo1.pricks]\nQ = [1, 2]", "line 5, photo1.pricks.Q is no corner"),
        ("[photo1.pricks]\nA = [1, 2, 3]", "line 5, photo1.pricks.A must be one place"),
        ("[photo3.sides]\nA-B = [[1, 2], [3, 4]]", "line 4, photo3 is about a photo"),
        ("[photo1.arcs]\nA = 1", "photo1.arcs is not known"),
        ("[photograph]\nA = 1", "line 4, photograph is not known"),
    ],
)
def test_faults_are_told_with_file_line_and_key(line, said):
    with pytest.raises(FileFormatError) as caught:
        read_hints(f"hints = 1\n\n[photo1.sides]\n{line}\n", "my.toml", NAMES, 2)
    assert caught.value.code == "hints_invalid"
    assert caught.value.text.startswith("my.toml: ")
    assert said in caught.value.text
    assert caught.value.cure


def test_a_fault_in_json_has_its_line_too():
    text = JSON.replace('"C"', '"Z"')
    with pytest.raises(FileFormatError, match=r"line 4, photo2\.pricks\.Z is no corner"):
        read_hints(text, "h.json", NAMES, 2)


def test_all_faults_are_told_at_once():
    text = "hints = 1\n[photo1.sides]\nA-C = 1\nB-D = 2\n"
    with pytest.raises(FileFormatError, match=r"A-C.*B-D"):
        read_hints(text, "h", NAMES, 1)


@pytest.mark.parametrize(
    ("text", "code"),
    [
        ("hints = 2", "hints_version"),
        ("hints = true", "hints_version"),
        ("", "hints_version"),
        ("hints = ", "hints_syntax"),
        ("{", "hints_syntax"),
    ],
)
def test_what_is_no_hints_file_is_refused(text, code):
    with pytest.raises(FileFormatError) as caught:
        read_hints(text, "h", NAMES, 1)
    assert caught.value.code == code


def test_files_that_cannot_be_read(tmp_path):
    (tmp_path / "photo.toml").write_bytes(b"\xff\xd8\xff")
    for name, code in (
        ("none", "hints_missing"),
        ("photo.toml", "hints_unreadable"),
        (".", "hints_unreadable"),
    ):
        with pytest.raises(FileFormatError) as caught:
            load_hints(tmp_path / name, NAMES, 1)
        assert caught.value.code == code
    (tmp_path / "good.toml").write_text("\ufeff" + GOOD, encoding="utf-8")
    assert 0 in load_hints(tmp_path / "good.toml", NAMES, 2)[0].sides
