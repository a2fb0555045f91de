"""Named sets: what goes out together."""
