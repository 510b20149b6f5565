"""`python -m swimsim` is the command line."""

from .cli.main import main

main()
