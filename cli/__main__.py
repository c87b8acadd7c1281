"""Run the command line as `python -m standmark.cli`."""

from standmark.cli.main import main

main()
