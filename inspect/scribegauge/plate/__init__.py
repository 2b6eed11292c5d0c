"""The scribed face of the plate in millimetres."""
