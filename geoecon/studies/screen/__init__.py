"""Does a place qualify: what is known of a site, looked at with ranges."""

from geoecon.studies.screen.study import DRAWS, Screen, screen

__all__ = ["DRAWS", "Screen", "screen"]
