"""Checks against what others printed: one file a source."""
