"""Out and in again, by both ways, whole; and nothing is taken on trust."""

import csv
import io
from pathlib import Path

import pytest

from scribegauge.errors import FileFormatError
from scribegauge.ledger.plates import entries
from scribegauge.ledger.store import opened
from scribegauge.ledger.transfer import (
    from_json_lines,
    from_table,
    take_in,
    to_json_lines,
    to_table,
)


@pytest.mark.parametrize("way", ["lines", "table"])
def test_all_of_it_comes_back(filled: Path, tmp_path: Path, way: str) -> None:
    with opened(filled) as ledger:
        before = list(entries(ledger))
        lines, table = "".join(to_json_lines(before)), to_table(before).decode()
    other = tmp_path / "other.sqlite3"
    read = from_json_lines(lines) if way == "lines" else from_table(table)
    with opened(other) as ledger:
        counts = take_in(ledger, read)
        assert (counts.new, counts.replaced, counts.there) == (10, 0, 0)
        assert list(entries(ledger)) == before
        again = take_in(ledger, from_json_lines(lines))
        assert (again.new, again.there) == (0, 10)


def test_the_table_has_numbers_for_people(filled: Path) -> None:
    with opened(filled) as ledger:
        rows = list(csv.DictReader(io.StringIO(to_table(entries(ledger, "A-02")).decode())))
    assert [row["pupil"] for row in rows] == ["A-02"] * 4
    assert 0.01 < float(rows[0]["side_rms_mm"]) < 0.3
    assert float(rows[0]["U_side_rms_mm"]) > 0.01


@pytest.mark.parametrize(
    ("spoil", "said"),
    [
        (('"entry": 1', '"entry": 2'), "line 3: it does not begin"),
        (('"pupil": "A-01"', '"pupil": "A 01"'), "line 3: 'A 01' is no code"),
        (('"made": "2024', '"made": "24'), "line 3: "),
        (('"made_by": "photo"', '"made_by": "told"'), "line 3: made_by"),
        (('"reading": 1', '"reading": 7'), "line 3: The reading file is of version 7"),
        (('"kept"', '"held"'), "line 3 has no kept"),
        (('{"entry"', '["entry"'), "line 3: "),
    ],
)
def test_a_broken_line_stops_all_of_it(filled: Path, spoil: tuple[str, str], said: str) -> None:
    with opened(filled) as ledger:
        lines = list(to_json_lines(entries(ledger)))
    assert spoil[0] in lines[2]
    lines[2] = lines[2].replace(*spoil, 1)
    other = filled.with_name("other.sqlite3")
    with opened(other) as ledger:
        with pytest.raises(FileFormatError, match="Nothing was taken in") as raised:
            take_in(ledger, from_json_lines("".join(lines)))
        assert list(entries(ledger)) == []
    assert said in raised.value.text
