"""The runner of published checks: every check says what a source printed, and how many digits of it we agree with.

A check file holds one source: its inputs, the answers it prints, and where. `agree(ours, published, digits=...)` fails
below the digits that the source supports; `pytest tests/published --digits` prints the whole table.
"""

import math

import pytest

import geoecon

MOST = 15.0


def digits_of_agreement(ours: float, published: float) -> float:
    """Number of leading digits that two numbers share: -log10 of their relative difference."""
    if ours == published:
        return MOST
    size = abs(published) if published else 1.0
    return min(MOST, -math.log10(abs(ours - published) / size)) if math.isfinite(ours) else 0.0


class Agreement:
    """Collects one line per check."""

    def __init__(self):
        self.lines = []

    def recorder(self, test):
        def agree(ours, published, *, digits=None, within=None, what=""):
            """Fail unless `ours` has the digits of `published`, or lies within a share of it that the source supports."""
            found = digits_of_agreement(float(ours), float(published))
            wanted = -math.log10(within) if within is not None else digits
            self.lines.append((test, what, float(published), float(ours), found, wanted))
            assert found >= wanted, f"{what}: {ours!r} against {published!r}: {found:.1f} digits, {wanted:.1f} wanted"

        return agree


_AGREEMENT = Agreement()


def pytest_addoption(parser):
    parser.addoption("--digits", action="store_true", help="print the table of published checks")


@pytest.fixture
def agree(request):
    """The function that a published check is made with."""
    return _AGREEMENT.recorder(request.node.name)


def pytest_terminal_summary(terminalreporter, config):
    if not _AGREEMENT.lines:
        return
    lines = _AGREEMENT.lines
    least = min(found - wanted for *_, found, wanted in lines)
    terminalreporter.write_line(
        f"published checks: {len(lines)} values, every one to the digits its source supports, {least:.1f} to spare at least"
    )
    if config.getoption("--digits"):
        for test, what, published, ours, found, wanted in lines:
            line = f"{test:45.45} {what:34.34} {published:16.9g} {ours:16.9g} {found:5.1f} of {wanted:4.1f}"
            terminalreporter.write_line(line)


@pytest.fixture(scope="session")
def short_table(tmp_path_factory):
    """The case of Pell Crossing with a vendor's table that ends a little above its own temperature."""
    shipped = geoecon.shipped_case("pell-crossing")
    folder = tmp_path_factory.mktemp("short")
    rows = shipped.with_suffix(".csv").read_text(encoding="utf-8").splitlines(keepends=True)
    (folder / "pell-crossing.csv").write_text(
        "".join(row for row in rows if not row.startswith("135,")), encoding="utf-8"
    )
    file = folder / shipped.name
    file.write_text(shipped.read_text(encoding="utf-8"), encoding="utf-8")
    return geoecon.load_case(file)
