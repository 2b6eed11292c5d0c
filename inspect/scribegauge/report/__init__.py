"""The reading, and how a person sees it."""
