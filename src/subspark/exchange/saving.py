"""Files put in their place at once, so that none is ever half-written."""

from __future__ import annotations

import os
import secrets
from pathlib import Path

from subspark.errors import InputError

__all__ = ["save"]


def save(data: bytes, path: Path) -> None:
    """Put a file in its place at once, or leave what was there.

    Raises
    ------
    InputError
        It cannot be written; the message says why.
    """
    part = path.with_name(f".{path.name}.{secrets.token_hex(4)}.part")
    try:
        if path.is_dir():
            raise IsADirectoryError
        try:
            with part.open("xb") as file:
                file.write(data)
                file.flush()
                os.fsync(file.fileno())
            part.replace(path)
        finally:
            part.unlink(missing_ok=True)
    except OSError as error:
        why = {
            FileNotFoundError: "its folder does not exist",
            NotADirectoryError: "its folder is a file",
            IsADirectoryError: "this is a folder; wanted a file",
            PermissionError: "no permission to write here, or the file is open elsewhere",
        }.get(type(error), error.strerror or str(error))
        raise InputError(f"{path}: cannot be written: {why}") from None
