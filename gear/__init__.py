"""What the studio owns, where it is, and who has promised it."""
