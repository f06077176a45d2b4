"""Pictures of circuits and plants as SVG, drawn from findings; notebooks show them as they are.

All follow the light or dark of their page and may be coloured by its custom properties
(:data:`PALETTE` names them); none needs colour to be read.
"""

from __future__ import annotations

from subspark.choose.picture_band import band
from subspark.choose.picture_curve import reference
from subspark.choose.picture_ladder import ladder
from subspark.choose.picture_plane import plane
from subspark.choose.picture_stairs import margin_curve, staircase
from subspark.choose.picture_svg import PALETTE, Picture, style
from subspark.choose.picture_tornado import sensitivity_picture

__all__ = [
    "PALETTE",
    "Picture",
    "band",
    "ladder",
    "margin_curve",
    "plane",
    "reference",
    "sensitivity_picture",
    "staircase",
    "style",
]
