"""What one column of the plant workbook is.

The columns themselves stand in ``columns_plant`` and ``columns_catalogue``: the one list of
headings and of what each field means. Sheets (``layout``), reader, writer, notes, drop-down
lists, the page of the documentation and the descriptions in the JSON Schema are all made from
it; a test holds it complete against the model.
"""

from __future__ import annotations

from dataclasses import dataclass

__all__ = ["NUMBER", "Column"]

NUMBER = "#"
"""The field of a column that only tells apart rows which further rows refer to."""


@dataclass(frozen=True, slots=True)
class Column:
    """One column.

    ``unit`` is what a bare number is in. ``key`` is the heading by which further sheets refer
    to this column (blank: they do not). ``refers`` names the sheet whose first column offers
    what may stand here. ``evidence`` is the field that keeps the evidence for this one.
    """

    field: str
    heading: str
    note: str
    unit: str = ""
    width: int = 11
    example: str | float = ""
    key: str = ""
    refers: str = ""
    evidence: str = ""

    @property
    def title(self) -> str:
        """The heading as it stands in the sheet, with its unit."""
        return f"{self.heading} [{self.unit}]" if self.unit else self.heading
