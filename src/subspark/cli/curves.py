"""``subspark curves``: which ignition table is in use, and one's own in its place."""

from __future__ import annotations

import argparse

from subspark.errors import UsageError
from subspark.exchange.curve_store import curves_in_use, forget_curves, keep_curves

__all__ = ["curves"]

_FACTORS = {"both": (1.5, 1.0), "1.5": (1.5,), "1.0": (1.0,)}


def curves(arguments: argparse.Namespace) -> int:
    """Run the command."""
    if arguments.action == "load":
        if arguments.file is None:
            raise UsageError("curves load: wanted a FILE, such as our-table.csv")
        keep_curves(
            arguments.file,
            name=arguments.name or "",
            origin=arguments.origin or "",
            factors=_FACTORS[arguments.factors],
        )
    elif arguments.action == "reset" and not forget_curves():
        print("The library's own table was in use already.")
    used = curves_in_use()
    print(f"table in use   {used.name}")
    print(f"origin         {used.origin}")
    print(f"digest         {used.digest}")
    return 0
