"""`geoecon` as typed in a terminal, in the process of the tests: a new one would load every library again.

What only a process of its own can show (a pipe that is closed, a full device, an interrupt) is started with `PROCESS`.
"""

import io
import os
import sys
from contextlib import chdir, redirect_stderr, redirect_stdout
from dataclasses import dataclass
from unittest import mock

from geoecon.cli import main

PROCESS = (sys.executable, "-m", "geoecon")


@dataclass(frozen=True)
class Done:
    """How a command ended and what it printed."""

    returncode: int
    stdout: str
    stderr: str


def run_command(*arguments, folder=None, columns=None):
    """What `geoecon ARGUMENTS` prints from a folder, on a terminal of so many columns, or where nothing is known of one."""
    out, err = io.StringIO(), io.StringIO()
    environment = {"NO_COLOR": "1"} | ({} if columns is None else {"COLUMNS": str(columns)})
    with (
        mock.patch.dict(os.environ, environment),
        mock.patch.object(sys, "argv", ["geoecon", *map(str, arguments)]),
        chdir(folder or os.curdir),
        redirect_stdout(out),
        redirect_stderr(err),
    ):
        if columns is None:
            os.environ.pop("COLUMNS", None)
        code = _ended_with()
    return Done(code, out.getvalue(), err.getvalue())


def _ended_with():
    try:
        main()
    except SystemExit as end:
        return end.code
    return 0
