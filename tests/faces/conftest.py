"""What every test of the faces needs."""

import sys

import pytest


@pytest.fixture(autouse=True)
def _main_module_comes_back():
    """A page that runs without a browser takes the place of the main module, which new processes would then run."""
    main = sys.modules["__main__"]
    yield
    sys.modules["__main__"] = main
