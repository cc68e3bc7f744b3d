"""Tests; see DEVELOPERS.md for what is where."""
