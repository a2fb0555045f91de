"""Units: the physical things with their tags, where they are and how they fare."""
