"""The command line: parse, call, print."""

from geoecon.cli import answers, risk, studies, tornado
from geoecon.cli.frame import app, main

__all__ = ["answers", "app", "main", "risk", "studies", "tornado"]
