"""Reading papers back, for the tests."""

from __future__ import annotations

import io
from functools import lru_cache

from pypdf import PdfReader


@lru_cache(maxsize=64)
def pages_of(data: bytes) -> list[str]:
    """Text of each page, with plain gaps."""
    reader = PdfReader(io.BytesIO(data))
    return [" ".join(page.extract_text().split()) for page in reader.pages]


def bare(text: str) -> str:
    """A text without any gap: line ends do not count."""
    return "".join(text.split())
