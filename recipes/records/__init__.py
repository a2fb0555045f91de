"""Recipes as they are kept: owners, immutable revisions, comparison and merging."""
