"""The project in C: compiled into a temporary folder, run as a program that times itself."""

import shutil
import subprocess
from dataclasses import astuple
from pathlib import Path

import numpy as np

from geoecon.arrays import Floats
from tests.speed.project import CONSTANTS, DEPRECIATION, ENERGY, MEASURES, SPENDING, Scenarios

SOURCE = Path(__file__).with_name("statement.c")


def compiler() -> str | None:
    """A C compiler on the path, or None."""
    return shutil.which("cc") or shutil.which("gcc")


class Program:
    """The compiled statement for some scenarios.

    folder : where program, input and output are
    """

    def __init__(self, compiler: str, folder: Path, scenarios: Scenarios):
        self._count, name = len(scenarios), "statement"
        self._program, self._input, self._output = folder / name, folder / f"{name}.in", folder / f"{name}.out"
        defined = CONSTANTS | {"DEPRECIATION_YEARS": len(DEPRECIATION)}
        flags = [f"-D{key}={value}" for key, value in defined.items()]
        command = [compiler, "-O2", "-std=c99", *flags, "-o", str(self._program), str(SOURCE), "-lm"]
        subprocess.run(command, check=True)
        np.concatenate([ENERGY, SPENDING, DEPRECIATION, *astuple(scenarios)]).tofile(self._input)

    def run(self, *, required: bool) -> float:
        """Microseconds per scenario of one pass after a warm-up, as the program says."""
        command = [self._program, self._input, self._output, str(self._count), str(int(required))]
        return float(subprocess.run(command, check=True, capture_output=True, text=True).stdout)

    def measures(self) -> dict[str, Floats]:
        """What the last run worked out."""
        return dict(zip(MEASURES, np.fromfile(self._output).reshape(len(MEASURES), -1), strict=True))
