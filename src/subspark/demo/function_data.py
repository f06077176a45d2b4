"""Short hand for functional figures: one text a type, every figure with its data sheet."""

from __future__ import annotations

from typing import cast

from subspark.model import Datum, What
from subspark.quantity import Evidence

__all__ = ["figures"]


def figures(text: str, document: str, page: str = "2") -> tuple[Datum, ...]:
    """Read "what: value; what: value @ current; [part] what: value".

    Parameters
    ----------
    text : str
        Figures in the order in which they are to stand.
    document, page : str
        Where they were read.
    """
    here = Evidence(document=document, page=page)
    return tuple(_figure(one.strip(), here) for one in text.split(";") if one.strip())


def _figure(text: str, here: Evidence) -> Datum:
    part, what = "", text
    if text.startswith("["):
        part, _, what = text[1:].partition("] ")
    word, _, value = what.partition(": ")
    value, _, at = value.partition(" @ ")
    return Datum(what=cast("What", word), value=value, at=at, part=part, evidence=here)
