"""Project economics of small geothermal power units, from the well to levelized cost and equity return.

>>> import geoecon
>>> case = geoecon.load_case(geoecon.shipped_case("dunmarrow"))
>>> result = geoecon.evaluate(case)
>>> result.metrics["npv"].unit
'USD'
"""

from pathlib import Path
from typing import TYPE_CHECKING, Any

__version__ = "0.1.0"
__all__ = [
    "Case",
    "Result",
    "__version__",
    "evaluate",
    "load_case",
    "load_site",
    "screen",
    "shipped_app",
    "shipped_case",
    "shipped_cases",
    "shipped_sites",
    "size",
]

if TYPE_CHECKING:
    from geoecon.case import Case, load_case, load_site
    from geoecon.engine import evaluate
    from geoecon.result import Result
    from geoecon.sizing import size
    from geoecon.studies.screen import screen

_HOMES = {
    "Case": "case", "load_case": "case", "load_site": "case", "evaluate": "engine", "Result": "result", "size": "sizing",
    "screen": "studies.screen",
}  # fmt: skip


def __getattr__(name: str) -> Any:
    """Names of the package, loaded when they are first asked for, so that `import geoecon` stays light."""
    if name not in _HOMES:
        raise AttributeError(f"module 'geoecon' has no attribute {name!r}")
    from importlib import import_module

    return getattr(import_module(f"geoecon.{_HOMES[name]}"), name)


def _shipped() -> Path:
    """Folder of what comes along: inside an installed package, at the top of a checkout."""
    here = Path(__file__).parent
    return here / "shipped" if (here / "shipped").is_dir() else here.parent


def shipped_app() -> Path:
    """The script of the pages, for `streamlit run`."""
    return _shipped() / "app.py"


def shipped_cases() -> dict[str, Path]:
    """Name -> file of the example cases that come with the package; their places and owners are invented."""
    return {file.stem: file for file in sorted((_shipped() / "cases").glob("*.toml"))}


def shipped_case(name: str) -> Path:
    """File of one example case. Raises `KeyError` with the names that exist."""
    cases = shipped_cases()
    if name not in cases:
        raise KeyError(f"{name!r} is not a shipped case; there are: {', '.join(cases)}")
    return cases[name]


def shipped_sites() -> dict[str, Path]:
    """Name -> file of the example sites that come with the package; their places are invented."""
    return {file.stem: file for file in sorted((_shipped() / "cases" / "sites").glob("*.toml"))}
