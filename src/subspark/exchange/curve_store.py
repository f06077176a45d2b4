"""The ignition table in use: the library's, or the owner's printed one kept for her.

A table that was loaded is kept in the user's data folder (``XDG_DATA_HOME``, else
``~/.local/share``), checked again each time it is read, and named in every result that leans
on it.
"""

from __future__ import annotations

import json
import os
from pathlib import Path

from subspark.errors import InputError
from subspark.exchange.saving import save
from subspark.physics.ignition import Curves, load_curves, standard_curves

__all__ = ["curves_in_use", "forget_curves", "keep_curves", "kept_state", "own_curves"]

_FACTORS = (1.5, 1.0)


def _folder() -> Path:
    root = os.environ.get("XDG_DATA_HOME") or Path.home() / ".local" / "share"
    return Path(root) / "subspark"


def _files() -> tuple[Path, Path]:
    return _folder() / "curves.csv", _folder() / "curves.json"


def keep_curves(
    path: str | Path, *, name: str = "", origin: str = "", factors: tuple[float, ...] = _FACTORS
) -> Curves:
    """Check a table and keep it as the one in use.

    Raises
    ------
    InputError
        The table is not fit (see :func:`subspark.physics.ignition.load_curves`), is not one
        file, or cannot be kept. Nothing is kept then.
    """
    source = Path(path)
    if source.is_dir():
        raise InputError(f"{path}: a folder; wanted one CSV file with both quantities")
    found = load_curves(source, name=name, origin=origin, factors=factors)
    table, about = _files()
    table.parent.mkdir(parents=True, exist_ok=True)
    facts = {"name": found.name, "origin": found.origin, "factors": factors, "digest": found.digest}
    save(source.read_bytes(), table)
    save(json.dumps(facts, ensure_ascii=False, indent=1).encode(), about)
    return found


def own_curves() -> Curves | None:
    """The table that was kept, or None.

    Raises
    ------
    InputError
        What is kept was changed or cannot be read; it is never silently passed over.
    """
    table, about = _files()
    if not table.exists():
        return None
    try:
        facts = json.loads(about.read_text("utf-8"))
        factors = tuple(float(one) for one in facts["factors"])
        found = load_curves(table, name=facts["name"], origin=facts["origin"], factors=factors)
        digest = facts["digest"]
    except (OSError, ValueError, KeyError, TypeError) as error:
        raise InputError(
            f"{about}: not readable ({error}); load the table again, or 'subspark curves reset'"
        ) from None
    if found.digest != digest:
        raise InputError(
            f"{table}: was changed since it was loaded; load it again, or 'subspark curves reset'"
        )
    return found


def kept_state() -> tuple[int, ...]:
    """What tells whether the kept table was changed: file, time and size; empty where none is."""
    found: list[int] = []
    for path in _files():
        try:
            told = path.stat()
        except OSError:
            return ()
        found += [told.st_ino, told.st_mtime_ns, told.st_size]
    return tuple(found)


def forget_curves() -> bool:
    """Go back to the library's table; whether there was another."""
    table, about = _files()
    was = table.exists()
    table.unlink(missing_ok=True)
    about.unlink(missing_ok=True)
    return was


def curves_in_use(path: str | None = None) -> Curves:
    """The table to judge by: that of the path, else the one kept, else the library's."""
    if path is not None:
        return load_curves(path)
    return own_curves() or standard_curves()
