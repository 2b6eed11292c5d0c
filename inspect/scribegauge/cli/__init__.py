"""The commands; options and printing only."""
