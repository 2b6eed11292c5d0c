"""Constructions with straightedge and dividers: as data, run, and replayed from scribed marks."""
