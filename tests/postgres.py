"""A PostgreSQL server of its own for tests, where the machine has the programs."""

from __future__ import annotations

import os
import shutil
import socket
import subprocess
import tempfile
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

__all__ = ["programs", "serving"]


def programs() -> Path | None:
    """The folder of initdb and pg_ctl, the newest version first; None where there is none."""
    found = sorted(
        Path("/usr/lib/postgresql").glob("*/bin/pg_ctl"),
        key=lambda path: float(path.parts[-3]) if path.parts[-3].replace(".", "").isdigit() else 0,
    )
    named = shutil.which("pg_ctl")
    return found[-1].parent if found else (Path(named).parent if named else None)


def _as_owner(command: list[str]) -> list[str]:
    """PostgreSQL refuses to run as root; its own user owns the files then."""
    return ["runuser", "-u", "postgres", "--", *command] if os.geteuid() == 0 else command


def _free_port() -> int:
    with socket.socket() as free:
        free.bind(("127.0.0.1", 0))
        return free.getsockname()[1]


@contextmanager
def serving(bin_: Path) -> Iterator[str]:
    """The address of a fresh server; it ends and is gone afterwards."""
    folder = Path(tempfile.mkdtemp(prefix="subspark-postgres-"))
    if os.geteuid() == 0:
        shutil.chown(folder, "postgres")
    folder.chmod(0o700)
    data, port = folder / "data", _free_port()

    def run(*command: str) -> None:
        subprocess.run(
            _as_owner(list(command)), check=True, cwd=folder, capture_output=True, timeout=60
        )

    try:
        run(str(bin_ / "initdb"), "-D", str(data), "-U", "subspark", "-A", "trust", "-E", "UTF8")
        options = f"-p {port} -c listen_addresses=127.0.0.1 -k {folder} -c max_connections=60"
        log = str(folder / "log")
        run(str(bin_ / "pg_ctl"), "-D", str(data), "-o", options, "-l", log, "-w", "start")
        try:
            yield f"postgresql://subspark@127.0.0.1:{port}/postgres"
        finally:
            run(str(bin_ / "pg_ctl"), "-D", str(data), "-m", "immediate", "-w", "stop")
    finally:
        shutil.rmtree(folder, ignore_errors=True)
