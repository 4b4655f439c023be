"""Run the command line with `python -m diagnose`."""

from diagnose.interfaces.cli import main

main()
