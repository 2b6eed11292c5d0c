"""``python -m scribegauge`` does what ``scribegauge`` does."""

from scribegauge.cli.main import main

raise SystemExit(main())
