"""Phones that pack without a network: what they noted, in which order, and what became of each act."""
