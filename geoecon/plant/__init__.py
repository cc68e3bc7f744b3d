"""From hot brine to power."""
