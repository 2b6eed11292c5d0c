"""Measure a scribed practice plate from one photo of it."""
