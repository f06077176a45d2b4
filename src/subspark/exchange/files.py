"""Plants in files: which format a file has follows from its suffix."""

from __future__ import annotations

from pathlib import Path

from subspark.errors import UsageError
from subspark.model import Plant

__all__ = ["read_plant", "write_plant"]

_READ = (".xlsx", ".ods", ".json")
_WRITTEN = (".xlsx", ".json")


def read_plant(path: str | Path) -> Plant:
    """Read a plant from a workbook (.xlsx, .ods) or a document (.json).

    Raises
    ------
    UsageError
        The suffix is none of these.
    PlantError
        Something in the file is wrong; all of it is named, and nothing is taken over.
    InputError
        The file cannot be opened.
    """
    path = Path(path)
    if _suffix(path, _READ, "read") == ".json":
        from subspark.exchange.document import read_json

        return read_json(path)
    from subspark.exchange.workbook_read import read_workbook

    return read_workbook(path)


def write_plant(plant: Plant, path: str | Path) -> None:
    """Write a plant as a workbook (.xlsx) or a document (.json), replacing what was there.

    Raises
    ------
    UsageError
        The suffix is neither of these.
    InputError
        The file cannot be written.
    """
    path = Path(path)
    if _suffix(path, _WRITTEN, "write") == ".json":
        from subspark.exchange.document import write_json
        from subspark.exchange.saving import save

        save(write_json(plant).encode(), path)
        return
    from subspark.exchange.workbook_write import write_workbook

    write_workbook(plant, path)


def _suffix(path: Path, accepted: tuple[str, ...], verb: str) -> str:
    suffix = path.suffix.lower()
    if suffix not in accepted:
        named = ", ".join(accepted[:-1]) + f" or {accepted[-1]}"
        also = " (.ods is read only)" if suffix == ".ods" else ""
        raise UsageError(f"{path}: cannot {verb} this kind of file; wanted a name in {named}{also}")
    return suffix
