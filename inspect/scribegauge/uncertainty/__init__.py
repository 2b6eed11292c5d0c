"""How far each number can be believed."""
