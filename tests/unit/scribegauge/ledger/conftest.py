"""A ledger with two made-up pupils, no photo needed."""

from pathlib import Path

import pytest

from scribegauge.ledger.entries import entry_of
from scribegauge.ledger.plates import keep
from scribegauge.ledger.store import opened
from scribegauge.simulate.winter import Hand, practise


@pytest.fixture
def file(tmp_path: Path) -> Path:
    return tmp_path / "ledger.sqlite3"


@pytest.fixture
def filled(file: Path) -> Path:
    """Six plates of A-01 and four of A-02."""
    with opened(file) as ledger:
        for code, count, seed in (("A-01", 6, 1), ("A-02", 4, 2)):
            for reading in practise(Hand(0.06), count, seed=seed):
                keep(ledger, entry_of(code, reading))
    return file
