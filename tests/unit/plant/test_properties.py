"""Tables of working fluids and the folder they are kept in: made once, and nothing wrong with a folder is an error."""

import json
import subprocess
import sys
from dataclasses import fields

import numpy as np
import pytest

from geoecon.plant import properties
from geoecon.plant.kept import cache_folder
from geoecon.plant.properties import COLDEST_DEGC, POINTS, SUPERHEATS, FluidTable, fluid_table, tabulate
from geoecon.tables import row

FLUID = "isopentane"


@pytest.fixture(scope="module")
def made():
    return tabulate(row("fluids", fluid=FLUID)["library_name"], POINTS)


@pytest.fixture
def folder(tmp_path, monkeypatch):
    """An empty cache folder; tables in memory are forgotten before and after."""
    place = tmp_path / "kept" / "tables"
    monkeypatch.setenv("GEOECON_CACHE", str(place))
    fluid_table.cache_clear()
    yield place
    fluid_table.cache_clear()


@pytest.fixture
def calls(monkeypatch, made):
    """What was asked of the library, which is not loaded."""
    asked = []

    def instead(library_name, points):
        asked.append((library_name, points))
        return made

    monkeypatch.setattr(properties, "tabulate", instead)
    return asked


def same(one, other):
    return all(np.array_equal(getattr(one, f.name), getattr(other, f.name), equal_nan=True) for f in fields(FluidTable))


def files(folder):
    return sorted(folder.iterdir()) if folder.is_dir() else []


def test_what_a_table_holds(made):
    n, k = POINTS, len(SUPERHEATS)
    assert (np.diff(made.temperature) > 0).all()
    assert (np.diff(made.temperature, n=2) < 0).all(), "steps shrink toward the critical point"
    assert made.temperature[0] == pytest.approx(COLDEST_DEGC)
    assert made.top.shape == (n, k)
    assert made.along.shape == (n, n)
    assert made.outlet.shape == (n, k, n)
    assert (np.diff(made.pressure) > 0).all()
    assert (made.vapour > made.liquid).all()
    assert np.array_equal(np.diag(made.along), made.liquid)
    hot = made.temperature > 30
    assert np.allclose(made.top[hot, 0], made.vapour[hot], rtol=1e-12)
    assert (np.diff(made.top[hot], axis=1) > 0).all(), "superheat adds enthalpy"
    lower = np.tril(np.ones((n, n), dtype=bool), -1)
    assert np.isnan(made.outlet[:, 0][~lower]).all()
    assert np.isfinite(made.outlet[hot][:, 0][lower[hot]]).all()
    drop = made.top[:, :, None] - made.outlet
    assert (drop[np.isfinite(drop)] > 0).all(), "expansion gives work"


def test_cold_then_warm(folder, calls):
    first = fluid_table(FLUID)
    assert calls == [("Isopentane", POINTS)]
    assert [file.suffix for file in files(folder)] == [".npz"]
    assert fluid_table(FLUID) is first
    fluid_table.cache_clear()
    assert same(fluid_table(FLUID), first)
    assert len(calls) == 1


def npz(file, **columns):
    np.savez(file, **columns)


def shorter(file, made):
    npz(file, **{f.name: getattr(made, f.name)[: POINTS - 1] for f in fields(FluidTable)})


def a_column_less(file, made):
    npz(file, **{f.name: getattr(made, f.name) for f in fields(FluidTable) if f.name != "along"})


def not_finite(file, made):
    npz(file, **{f.name: getattr(made, f.name) for f in fields(FluidTable)} | {"pressure": np.full(POINTS, np.nan)})


def objects(file, made):
    npz(file, **{f.name: np.array([{"a": 1}], dtype=object) for f in fields(FluidTable)})


def data_flipped(file, made):
    npz(file, **{f.name: getattr(made, f.name) for f in fields(FluidTable)})
    whole = bytearray(file.read_bytes())
    whole[len(whole) // 2] ^= 0xFF
    file.write_bytes(whole)


def cut_short(file, made):
    npz(file, **{f.name: getattr(made, f.name) for f in fields(FluidTable)})
    file.write_bytes(file.read_bytes()[:-2000])


def one_array(file, made):
    with file.open("wb") as handle:
        np.save(handle, made.pressure)


DAMAGE = {
    "empty": lambda file, made: file.write_bytes(b""),
    "text": lambda file, made: file.write_text("not a table\n" * 99),
    "noise": lambda file, made: file.write_bytes(np.random.default_rng(1).bytes(5000)),
    "a shorter grid": shorter,
    "a column less": a_column_less,
    "not finite": not_finite,
    "objects": objects,
    "a byte of the data flipped": data_flipped,
    "a folder": lambda file, made: file.mkdir(),
    "cut short": cut_short,
    "one array under the name": one_array,
}


@pytest.mark.parametrize("damage", DAMAGE)
def test_damaged_file_is_made_again(folder, calls, made, damage):
    fluid_table(FLUID)
    (file,) = files(folder)
    whole = file.read_bytes()
    fluid_table.cache_clear()
    file.unlink()
    DAMAGE[damage](file, made)
    assert same(fluid_table(FLUID), made)
    assert len(calls) == 2
    assert files(folder) == [file], "nothing is left over"
    if file.is_file():
        assert file.read_bytes()[:4] == whole[:4]
        fluid_table.cache_clear()
        assert same(fluid_table(FLUID), made)
        assert len(calls) == 2, "and is kept from then on"


def test_folder_that_cannot_be_written(tmp_path, monkeypatch, calls, made):
    """A folder below a regular file: nobody, not even the administrator, can make it."""
    (tmp_path / "file").write_text("here")
    monkeypatch.setenv("GEOECON_CACHE", str(tmp_path / "file" / "below"))
    for times in (1, 2):
        fluid_table.cache_clear()
        assert same(fluid_table(FLUID), made)
        assert len(calls) == times
    fluid_table.cache_clear()
    assert (tmp_path / "file").read_text() == "here"
    assert len(list(tmp_path.iterdir())) == 1


def test_where_tables_are_kept(tmp_path, monkeypatch):
    monkeypatch.setenv("GEOECON_CACHE", str(tmp_path / "mine"))
    assert cache_folder() == tmp_path / "mine"
    monkeypatch.delenv("GEOECON_CACHE")
    monkeypatch.setenv("XDG_CACHE_HOME", str(tmp_path / "xdg"))
    assert cache_folder() == tmp_path / "xdg" / "geoecon"
    monkeypatch.delenv("XDG_CACHE_HOME")
    monkeypatch.delenv("LOCALAPPDATA", raising=False)
    assert cache_folder().name == "geoecon"


TOGETHER = """
import sys
from geoecon.plant.properties import fluid_table
sys.stdin.readline()
held = fluid_table("isopentane")
print(held.pressure.sum().hex(), held.top[-1, 0].hex())
"""


def test_two_processes_at_once(folder, made):
    """Both wait at the same line, then make and put the table in place; a reader afterwards finds it whole."""
    both = [
        subprocess.Popen(
            [sys.executable, "-c", TOGETHER],
            stdin=subprocess.PIPE, stdout=subprocess.PIPE, stderr=subprocess.PIPE, text=True,
        )
        for _ in range(2)
    ]  # fmt: skip
    for process in both:
        process.stdin.write("go\n")
        process.stdin.flush()
    answers = [process.communicate(timeout=60) for process in both]
    assert [err for _, err in answers] == ["", ""]
    assert len({out for out, _ in answers}) == 1
    assert len(files(folder)) == 1, "no part is left over"
    assert same(fluid_table(FLUID), made)


RUN = """
import json, sys
from geoecon.cli import main
sys.argv = ["geoecon", "run", sys.argv[1]]
try:
    main()
except SystemExit as end:
    assert not end.code, end.code
print("\\n" + json.dumps("CoolProp" in sys.modules))
"""


def test_second_run_does_not_load_the_library(folder, pytestconfig):
    case = pytestconfig.rootpath / "tests" / "data" / "complete.toml"
    loaded = []
    for _ in range(2):
        done = subprocess.run([sys.executable, "-c", RUN, str(case)], capture_output=True, text=True, check=True)
        loaded.append(json.loads(done.stdout.strip().splitlines()[-1]))
    assert loaded == [True, False]
