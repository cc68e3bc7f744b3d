"""The command line: parse, call, print."""

from geoecon.cli import (
    answers,
    books,
    breakeven,
    delay,
    gates,
    indices,
    plant,
    risk,
    screen,
    sizes,
    stack,
    stress,
    studies,
    tornado,
    wells,
)
from geoecon.cli.frame import app, main

__all__ = [
    "answers",
    "app",
    "books",
    "breakeven",
    "delay",
    "gates",
    "indices",
    "main",
    "plant",
    "risk",
    "screen",
    "sizes",
    "stack",
    "stress",
    "studies",
    "tornado",
    "wells",
]
