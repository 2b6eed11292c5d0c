"""The intended figure, and how the marks make it up."""
