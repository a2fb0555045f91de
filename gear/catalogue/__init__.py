"""Gear types: the catalogue entries with their spec sheets."""
