"""The command line: ``subspark check plant.xlsx``. It shows what the floors below have found.

Only what parsing needs is imported here; each command imports the rest when it runs.
"""

from subspark.cli.entry import main
from subspark.cli.parser import build_parser

__all__ = ["build_parser", "main"]
