"""Facts that hold for every project."""
