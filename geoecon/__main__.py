"""`python -m geoecon` is the command line."""

from geoecon.cli import main

main()
