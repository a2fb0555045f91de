"""Units that are borrowed from outside for a time."""
