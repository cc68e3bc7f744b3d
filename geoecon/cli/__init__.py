"""The command line: parse, call, print."""

from geoecon.cli import answers, indices, stress, studies
from geoecon.cli.frame import app, main

__all__ = ["answers", "app", "indices", "main", "stress", "studies"]
