"""What every test of the faces needs."""

import sys
from functools import cache

import pytest
from streamlit.components.v2 import manifest_scanner


@pytest.fixture(scope="session", autouse=True)
def _installed_packages_are_looked_through_once():
    """Before the first run of every visit the framework looks for components in all packages, which is half of its time."""
    with pytest.MonkeyPatch.context() as patched:
        patched.setattr(manifest_scanner, "scan_component_manifests", cache(manifest_scanner.scan_component_manifests))
        yield


@pytest.fixture(autouse=True)
def _main_module_comes_back():
    """A page that runs without a browser takes the place of the main module, which new processes would then run."""
    main = sys.modules["__main__"]
    yield
    sys.modules["__main__"] = main
