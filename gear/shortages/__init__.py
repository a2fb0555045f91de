"""Promises that can no longer be met: never a silent deletion, always somebody's, with ways out."""
