"""Shoots: a period in a room with recipes in order and the units assigned to them."""
