"""Figures and exercises as line drawings at true scale."""
