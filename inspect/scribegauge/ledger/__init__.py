"""Readings kept over a winter, in one file. The only folder that speaks SQL."""
