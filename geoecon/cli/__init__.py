"""The command line: parse, call, print."""

from geoecon.cli import answers, breakeven, delay, gates, indices, risk, screen, stress, studies, tornado
from geoecon.cli.frame import app, main

__all__ = [
    "answers", "app", "breakeven", "delay", "gates", "indices", "main", "risk", "screen", "stress", "studies", "tornado",
]  # fmt: skip
