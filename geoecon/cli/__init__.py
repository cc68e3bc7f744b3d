"""The command line: parse, call, print."""

from geoecon.cli import answers, breakeven, studies
from geoecon.cli.frame import app, main

__all__ = ["answers", "app", "breakeven", "main", "studies"]
