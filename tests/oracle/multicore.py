"""Circuits that share a multicore: which of them faults may join, and the merged cases.

IEC 60079-14 (16.2.2, types of multicores) and IEC 60079-25, from memory.
"""

from __future__ import annotations

from fractions import Fraction
from itertools import combinations

from oracle.combine import Case, alone, combined, wiring
from oracle.parts import Apparatus, Area, Source, read_apparatus, read_source
from oracle.quantities import Json, Notes, read

LEAST_COVERAGE = Fraction(60, 100)
HIGHEST_FIXED = Fraction(60)

Merged = tuple[Case, list[Apparatus], list[Json]]


def kept_apart(notes: Notes, data: Json, sources: list[Source]) -> bool:
    """Type A or type B, with what each asks."""
    if data.get("type") == "A":
        text = data.get("screen coverage")
        coverage = read(notes, "multicore", "screen coverage", text, "%").number
        return coverage is not None and coverage >= LEAST_COVERAGE
    if data.get("type") == "B" and data.get("fixed and protected") == "yes":
        return all(s.Uo.number is not None and s.Uo.number <= HIGHEST_FIXED for s in sources)
    return False


def merged_cases(notes: Notes, own: list[Source], area: Area, data: object) -> list[Merged]:
    """The circuit merged with each other one, and with each two where returns are common."""
    if not isinstance(data, dict):
        return []
    others: list[Json] = data.get("other circuits", [])
    read_others = [[read_source(notes, s) for s in other["sources"]] for other in others]
    if kept_apart(notes, data, own + [s for found in read_others for s in found]):
        return []
    common = data.get("returns") == "common"
    sizes = (1,) if data.get("returns") == "isolated" else (1, 2)
    found: list[Merged] = []
    for size in sizes:
        for chosen in combinations(range(len(others)), size):
            sources = own + [s for n in chosen for s in read_others[n]]
            items = [read_apparatus(notes, a) for n in chosen for a in others[n]["apparatus"]]
            runs = [run for n in chosen for run in others[n]["runs"]]
            name = " + ".join(str(others[n].get("name", n + 1)) for n in chosen)
            single = common and wiring(sources, None) == "parallel"
            made = [] if single else [combined(notes, sources, area, "", series=True)]
            made.append(combined(notes, sources, area, "", series=False))
            made += [alone(notes, s, area, s.name) for s in sources if s.live]
            labels = ([] if single else ["series"]) + ["parallel"]
            labels += [f"{s.name} alone" for s in sources if s.live]
            for case, label in zip(made, labels, strict=True):
                case.name = f"with {name}: {label}"
                found.append((case, items, runs))
    return found
