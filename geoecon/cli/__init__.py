"""The command line: parse, call, print."""

from geoecon.cli import answers, studies, tornado
from geoecon.cli.frame import app, main

__all__ = ["answers", "app", "main", "studies", "tornado"]
