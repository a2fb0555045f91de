"""Packing lists: what leaves the store, by case, and what comes back."""
