"""``subspark serve``: the desk."""

from __future__ import annotations

import argparse
import os
from pathlib import Path

from subspark.errors import UsageError

__all__ = ["serve"]

_PORTS = range(65536)


def serve(arguments: argparse.Namespace) -> int:
    """Run the command."""
    if arguments.port not in _PORTS:
        raise UsageError(f"port {arguments.port}: wanted a number from 0 to {_PORTS[-1]}")
    try:
        from subspark.desk.server import serve as open_desk
        from subspark.desk.settings import begin  # noqa: F401 - whether its parts are there
    except ModuleNotFoundError as error:
        if (error.name or "").startswith("subspark"):
            raise
        raise UsageError(
            f"the desk needs {error.name}, which is not installed; wanted: pip install "
            "'subspark[desk]'"
        ) from None
    folder = Path(arguments.data) if arguments.data else None
    address = arguments.database or os.environ.get("SUBSPARK_DATABASE")
    issuer = arguments.openid or os.environ.get("SUBSPARK_OPENID")
    client = arguments.openid_client or os.environ.get("SUBSPARK_OPENID_CLIENT", "")
    secret = os.environ.get("SUBSPARK_OPENID_SECRET", "")
    try:
        open_desk(
            host=arguments.host,
            port=arguments.port,
            folder=folder,
            address=address,
            hosts=arguments.name,
            https=arguments.https,
            openid=(issuer, client, secret) if issuer else None,
            say=lambda line: print(line, flush=True),
        )
    except KeyboardInterrupt:
        print("The desk is closed.")
    return 0
