"""Drawings of circuits, cables and cabinets: laid out once, written as SVG, DXF and PDF."""

from subspark.papers.drawings.drawing import (
    Drawing,
    cabinet_earth_drawing,
    circuit_drawing,
    circuit_svg,
    installation_drawing,
    multicore_drawing,
    terminal_plan,
    write_drawings,
)
from subspark.papers.drawings.frame import TitleFields

__all__ = [
    "Drawing",
    "TitleFields",
    "cabinet_earth_drawing",
    "circuit_drawing",
    "circuit_svg",
    "installation_drawing",
    "multicore_drawing",
    "terminal_plan",
    "write_drawings",
]
