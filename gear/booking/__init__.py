"""Promises: which unit is promised to whom, from when to when."""
