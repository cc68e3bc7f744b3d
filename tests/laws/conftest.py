"""Laws run under one Hypothesis profile: the same examples every time, and no deadline."""

from hypothesis import settings

settings.register_profile("ci", deadline=None, derandomize=True, max_examples=50)
settings.load_profile("ci")
