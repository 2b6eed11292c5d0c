"""What was reported as kept is there after kill -9. Twenty kills: tests/benchmarks."""

import subprocess
import sys
from pathlib import Path

import pytest

from scribegauge.ledger.plates import entries
from scribegauge.ledger.store import opened
from scribegauge.ledger.upkeep import verify

KEEPER = """
import sys
from pathlib import Path
from scribegauge.ledger.entries import entry_of
from scribegauge.ledger.plates import keep
from scribegauge.ledger.store import opened
from scribegauge.simulate.winter import Hand, practise
readings = practise(Hand(0.06), 60, seed=int(sys.argv[2]))
with opened(Path(sys.argv[1])) as ledger:
    for reading in readings:
        keep(ledger, entry_of("A-01", reading))
        print(reading.photos[0].sha256, flush=True)
"""


@pytest.mark.slow
def test_nothing_reported_is_lost_and_nothing_is_double(file: Path) -> None:
    reported: list[str] = []
    for number, enough in enumerate((1, 7, 4)):
        command = [sys.executable, "-c", KEEPER, str(file), str(number)]
        with subprocess.Popen(command, stdout=subprocess.PIPE, text=True) as keeper:
            assert keeper.stdout is not None
            reported += [keeper.stdout.readline().strip() for _ in range(enough)]
            keeper.kill()
            reported += keeper.stdout.read().split()
        with opened(file) as ledger:
            assert verify(ledger).faults == ()
            kept = [entry.photos[0] for entry in entries(ledger)]
        assert len(kept) == len(set(kept))
        assert set(reported) <= set(kept)
    assert len(reported) >= 12
