"""How fast the arithmetic is beside a loop and beside C; run by hand: `python -m tests.speed`."""
