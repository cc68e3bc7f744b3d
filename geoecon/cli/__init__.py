"""The command line: parse, call, print."""

from geoecon.cli import answers, stress, studies
from geoecon.cli.frame import app, main

__all__ = ["answers", "app", "main", "stress", "studies"]
