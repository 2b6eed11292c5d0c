"""Before numpy is imported: one thread for small matrices, as the command line sets it."""

import os

for library in ("OPENBLAS", "OMP", "MKL"):
    # With a thread for each core the ripple's Monte Carlo took 127 s on a busy machine, with one 5 s.
    os.environ.setdefault(f"{library}_NUM_THREADS", "1")
