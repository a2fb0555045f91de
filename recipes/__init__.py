"""Looks that can be made again, and the calculation that says whether they can."""
