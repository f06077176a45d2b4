"""The libraries of the papers: imported when a paper is wanted; one clear message if absent."""

from __future__ import annotations

from importlib.metadata import PackageNotFoundError, version
from pathlib import Path
from types import ModuleType

from subspark.errors import UsageError

__all__ = [
    "drawn_by",
    "engine_version",
    "font_folder",
    "formed_by",
    "pikepdf_library",
    "printed_by",
    "pypdf_library",
    "typst_library",
]


def _absent(name: str) -> UsageError:
    return UsageError(
        f"papers need the package {name}, which is not installed; "
        "install what they need with: pip install 'subspark[papers]'"
    )


def typst_library() -> ModuleType:
    """The typesetter.

    Raises
    ------
    UsageError
        It is not installed.
    """
    try:
        import typst
    except ModuleNotFoundError:
        raise _absent("typst") from None
    return typst


def pypdf_library() -> ModuleType:
    """The reader of PDF files.

    Raises
    ------
    UsageError
        It is not installed.
    """
    try:
        import pypdf
    except ModuleNotFoundError:
        raise _absent("pypdf") from None
    return pypdf


def pikepdf_library() -> ModuleType:
    """The writer of forms.

    Raises
    ------
    UsageError
        It is not installed.
    """
    try:
        import pikepdf
    except ModuleNotFoundError:
        raise _absent("pikepdf") from None
    return pikepdf


def font_folder() -> Path:
    """Where the font of the papers lies.

    Raises
    ------
    UsageError
        Its package is not installed.
    """
    try:
        import fontpkg_source_sans_3 as font
    except ModuleNotFoundError:
        raise _absent("fontpkg-source-sans-3") from None
    return Path(str(font.__file__)).parent / "files"


def printed_by() -> dict[str, str]:
    """Versions of what decides how a paper looks, by name."""
    found = {}
    for name in ("typst", "fontpkg-source-sans-3"):
        try:
            found[name] = version(name)
        except PackageNotFoundError:
            raise _absent(name) from None
    return found


def drawn_by() -> str:
    """Version of what writes DXF.

    Raises
    ------
    UsageError
        It is not installed.
    """
    try:
        return version("ezdxf")
    except PackageNotFoundError:
        raise _absent("ezdxf") from None


def formed_by() -> str:
    """Version of what writes fields into sheets.

    Raises
    ------
    UsageError
        It is not installed.
    """
    try:
        return version("pikepdf")
    except PackageNotFoundError:
        raise _absent("pikepdf") from None


def engine_version() -> str:
    """Version of this program."""
    try:
        return version("subspark")
    except PackageNotFoundError:  # run from its source without being installed
        return "not installed"
