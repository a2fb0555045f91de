"""Things that are counted: those that come back, and those that are used up."""
