"""What a deliberate fault of the demo plant is."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

__all__ = ["DeliberateFault"]


@dataclass(frozen=True, slots=True, kw_only=True)
class DeliberateFault:
    """A mistake of the kind that is made in practice, built into one circuit.

    Parameters
    ----------
    tag : str
        The circuit.
    rule : str
        The one rule that must catch it.
    verdict : {"unsafe", "unproven"}
        What that rule must say.
    story : str
        How it came about, in one sentence.
    mended : str
        How it is put right.
    also : tuple of str
        Rules that lack the same fact and so say the same.
    """

    tag: str
    rule: str
    verdict: Literal["unsafe", "unproven"]
    story: str
    mended: str
    also: tuple[str, ...] = ()
