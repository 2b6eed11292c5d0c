"""Plates and photos with known truth."""
