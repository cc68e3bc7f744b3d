"""The command line: parse, call, print."""

from geoecon.cli import answers, breakeven, risk, studies, tornado
from geoecon.cli.frame import app, main

__all__ = ["answers", "app", "breakeven", "main", "risk", "studies", "tornado"]
