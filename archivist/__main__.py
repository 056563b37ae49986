"""Lets `python -m archivist` stand in for the `archivist` command."""

from archivist.cli.main import main

if __name__ == "__main__":
    main()
