"""The ledger under kill -9 and with many readings: run by hand, it takes minutes.

    .venv/bin/python tests/benchmarks/ledger_under_load.py --kills 20 --readings 100000

Kills a process that keeps readings at random moments and looks for what it had reported as kept;
then fills a ledger and times adding a reading and a page of progress.
"""

import argparse
import os
import statistics
import subprocess
import sys
import tempfile
import time
from dataclasses import replace
from datetime import timedelta
from pathlib import Path

import numpy as np

from scribegauge.ledger.entries import entry_of
from scribegauge.ledger.plates import _insert, attempts, entries, keep
from scribegauge.ledger.record import Entry
from scribegauge.ledger.store import opened, written
from scribegauge.ledger.upkeep import verify
from scribegauge.progress.page import progress_page
from scribegauge.simulate.winter import Hand, practise

KEEPER = """
import sys
from pathlib import Path
from scribegauge.ledger.entries import entry_of
from scribegauge.ledger.plates import keep
from scribegauge.ledger.store import opened
from scribegauge.simulate.winter import Hand, practise
readings = practise(Hand(0.06), 400, seed=int(sys.argv[2]))
print("ready", flush=True)
with opened(Path(sys.argv[1])) as ledger:
    for reading in readings:
        keep(ledger, entry_of("A-01", reading))
        print(reading.photos[0].sha256, flush=True)
"""


def say(words: str) -> None:
    """Print a line at once."""
    sys.stdout.write(f"{words}\n")
    sys.stdout.flush()


def kill_while_keeping(file: Path, number: int, rng: np.random.Generator) -> set[str]:
    """Start a process that keeps readings, kill it, and return what it reported as kept."""
    command = [sys.executable, "-c", KEEPER, str(file), str(number)]
    with subprocess.Popen(command, stdout=subprocess.PIPE, text=True) as keeper:
        assert keeper.stdout is not None
        assert keeper.stdout.readline() == "ready\n"
        time.sleep(rng.uniform(0.0, 1.0))
        keeper.kill()
        return set(keeper.stdout.read().split())


def look_after_kills(kills: int, seed: int) -> None:
    """Kill and look."""
    rng = np.random.default_rng(seed)
    with tempfile.TemporaryDirectory() as folder:
        file = Path(folder) / "ledger.sqlite3"
        reported: set[str] = set()
        for number in range(kills):
            reported |= kill_while_keeping(file, number, rng)
            with opened(file) as ledger:
                faults = verify(ledger).faults
                kept = [entry.photos[0] for entry in entries(ledger)]
            assert faults == (), faults
            assert len(kept) == len(set(kept)), "a reading is there twice"
            assert reported <= set(kept), "a reading that was reported as kept is lost"
            say(f"kill {number + 1}: {len(reported)} reported, {len(kept)} kept, all sound")


def spread_out(numbers: range, pupils: int) -> list[Entry]:
    """Return entries to fill with: few are made, and given other photos, pupils and days."""
    made = [entry_of("A-00", reading) for reading in practise(Hand(0.06), 50, seed=5)]
    filling = []
    for k in numbers:
        entry = made[k % len(made)]
        sha = f"{k:064x}"
        day = entry.made - timedelta(days=k // pupils)
        text = entry.reading.replace(entry.photos[0], sha)
        code = f"A-{k % pupils:03}"
        filling.append(replace(entry, pupil=code, made=day, photos=(sha,), reading=text))
    return filling


def time_many(readings: int, pupils: int) -> None:
    """Fill, then time one more and one page."""
    with tempfile.TemporaryDirectory() as folder:
        file = Path(folder) / "ledger.sqlite3"
        with opened(file) as ledger:
            for start in range(0, readings, 5000):
                with written(ledger):
                    for entry in spread_out(range(start, min(start + 5000, readings)), pupils):
                        _insert(ledger, entry)
            times = []
            for reading in practise(Hand(0.06), 100, seed=6):
                entry = entry_of("A-001", reading)
                begin = time.perf_counter()
                keep(ledger, entry)
                times.append(1000 * (time.perf_counter() - begin))
            median, worst = statistics.median(times), max(times)
            say(f"{readings} readings, {file.stat().st_size / 2**20:.0f} MB")
            say(f"add: median {median:.2f} ms, 95 % {sorted(times)[94]:.2f}, worst {worst:.2f}")
        begin = time.perf_counter()
        with opened(file) as ledger:
            made = attempts(ledger, "A-001")
        took = time.perf_counter() - begin
        page = progress_page("A-001", made)
        whole = time.perf_counter() - begin
        say(f"page of {len(made)} plates: {took:.2f} s to read, {whole:.2f} s, {len(page)} bytes")


def main() -> None:
    """Read the options and run both."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--kills", type=int, default=20)
    parser.add_argument("--readings", type=int, default=100_000)
    parser.add_argument("--pupils", type=int, default=200)
    parser.add_argument("--seed", type=int, default=int.from_bytes(os.urandom(4), "big"))
    given = parser.parse_args()
    say(f"seed {given.seed}")
    look_after_kills(given.kills, given.seed)
    time_many(given.readings, given.pupils)


if __name__ == "__main__":
    main()
