"""What is on the metal, with no idea of what was intended."""
