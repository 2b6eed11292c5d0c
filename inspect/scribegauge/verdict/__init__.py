"""Within, outside or undecided."""
