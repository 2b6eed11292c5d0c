"""A photo from its bytes, and what is wrong with it."""
