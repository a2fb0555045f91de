"""Readiness: the findings of a shoot, kept with the fingerprint of what they were computed from."""
