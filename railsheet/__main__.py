"""``python -m railsheet`` is the command line."""

from railsheet.cli.main import main

main()
