"""Imports point one way, and heavy libraries load only where they are used."""

import ast
import json
import subprocess
import sys
from pathlib import Path

import pytest

import geoecon

PACKAGE = Path(geoecon.__file__).parent
LAYERS = [
    {"cli", "ui"},
    {"report"},
    {"studies", "alternatives", "community", "operations", "screening"},
    {"engine"},
    {"summary"},
    {"warned"},
    {"metrics"},
    {"passed"},
    {"audit"},
    {"assumed"},
    {"purchasing"},
    {"payments", "lifting", "outputs", "watering"},
    {"sizing"},
    {"obstacles"},
    {"steam_limits"},
    {"terms", "pricing", "reservoir", "steaming", "flooring", "drilling"},
    {"taxing"},
    {"preparing"},
    {"result"},
    {"case"},
    {"energy", "costs"},
    {"wells", "plant", "finance"},
    {"resource"},
    {"units"},
    {"tables"},
    {"commas"},
    {"errors", "arrays", "later"},
]
LEVEL = {name: level for level, names in enumerate(LAYERS) for name in names}
ONLY = {
    "pint": {"units"},
    "CoolProp": {"plant"},
    "streamlit": {"ui"},
    "altair": {"report"},
    "vl_convert": {"report"},
    "pandas": {"result", "report", "ui"},
    "pydantic": {"case"},
    "pyarrow": {"report"},
    "tomlkit": {"case"},
    "rich": {"cli"},
    "click": {"cli"},
}


def _imported(node: ast.AST) -> list[str]:
    if isinstance(node, ast.Import):
        return [alias.name for alias in node.names]
    if not isinstance(node, ast.ImportFrom):
        return []
    if node.module == "geoecon":
        return [f"geoecon.{alias.name}" for alias in node.names]
    return [node.module or ""]


def test_imports_point_one_way():
    wrong = []
    for file in sorted(PACKAGE.rglob("*.py")):
        here = file.relative_to(PACKAGE).parts[0].removesuffix(".py")
        if here in {"__init__", "__main__"}:
            continue
        assert here in LEVEL, f"{file.name}: {here!r} has no layer; say in LAYERS where it belongs"
        for node in ast.walk(ast.parse(file.read_text(encoding="utf-8"))):
            where = f"{file.name}:{getattr(node, 'lineno', 0)}"
            if isinstance(node, ast.ImportFrom) and node.level:
                wrong.append(f"{where} relative import")
            for name in _imported(node):
                top, _, rest = name.partition(".")
                target = rest.split(".")[0]
                upward = target not in {here, "__version__", ""} and LEVEL.get(target, -1) <= LEVEL[here]
                if top == "geoecon" and upward and target in LEVEL:
                    wrong.append(f"{where} {here} -> {target}")
                if here not in ONLY.get(top, {here}):
                    wrong.append(f"{where} {here} imports {top}")
    assert not wrong, "\n".join(wrong)


def test_a_page_shows_and_computes_nothing():
    wrong = []
    for file in sorted((PACKAGE / "ui" / "pages").glob("*.py")):
        tree = ast.parse(file.read_text(encoding="utf-8"))
        for name in [name for node in ast.walk(tree) for name in _imported(node)]:
            if name != "streamlit" and not f"{name}.".startswith(("geoecon.ui.", "geoecon.report.")):
                wrong.append(f"{file.name} imports {name}")
    assert not wrong, "\n".join(wrong)


# pint looks whether scipy is there, which loads its empty top; what costs time is below it.
HEAVY = {"pandas", "scipy.optimize", "scipy.stats", "altair", "streamlit", "CoolProp", "matplotlib", "pyarrow"}
LOADS = """
import json, sys
from geoecon.cli import main
sys.argv = ["geoecon", *json.loads(sys.argv[1])]
try:
    main()
except SystemExit:
    pass
print("\\n" + json.dumps(sorted(sys.modules)))
"""


@pytest.mark.parametrize(
    ("arguments", "also_absent"),
    [
        (["--help"], {"pint", "pydantic", "rich", "numpy"}),
        (["check", "ambry-wells"], {"rich"}),
        (["run", "ambry-wells"], set()),
        (["run", "ambry-wells", "--json"], {"rich"}),
        (["fields"], {"rich"}),
    ],
)
def test_nothing_heavy_loads(arguments, also_absent):
    done = subprocess.run(
        [sys.executable, "-c", LOADS, json.dumps(arguments)], capture_output=True, text=True, check=True
    )
    loaded = set(json.loads(done.stdout.strip().splitlines()[-1]))
    assert not loaded & (HEAVY | also_absent)


def test_importing_the_package_is_light():
    code = "import geoecon, sys; print([m for m in ('numpy', 'pydantic', 'pint', 'pandas') if m in sys.modules])"
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    assert done.stdout.strip() == "[]"
