"""The shipped cases, read once."""

from functools import lru_cache

import pytest

import geoecon
from geoecon.case import load_case


@lru_cache
def _read(name):
    return load_case(geoecon.shipped_cases()[name])


@pytest.fixture
def example():
    """A function from the name of a shipped case to the case."""
    return _read


@pytest.fixture(params=list(geoecon.shipped_cases()))
def every_example(request):
    """Each shipped case in turn."""
    return _read(request.param)
