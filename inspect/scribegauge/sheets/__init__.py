"""Printed sheets on record, each by its name."""
