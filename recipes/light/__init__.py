"""Photometry: pure functions on numbers and arrays."""
