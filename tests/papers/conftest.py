"""The demo plants judged once, and dossiers of circuits that differ in kind."""

from __future__ import annotations

import pytest

from subspark.assess import assess
from subspark.demo import build_division_plant, build_plant
from subspark.papers.attachment import dossier, print_dossier

# one source, unsafe; three sources; a multicore of 24 pairs; a fieldbus segment; dust; unproven
OF_STATION = ("AT-4091", "PI-1151", "AT-2001", "FB-1101", "ST-5001", "FT-4091")
OF_DIVISION = ("PT-312",)  # Class and Division, in feet


@pytest.fixture(scope="session")
def larkfen():
    return assess(build_plant())


@pytest.fixture(scope="session")
def alder_creek():
    return assess(build_division_plant())


@pytest.fixture(scope="session")
def printed(larkfen, alder_creek):
    """The dossier and its PDF of a circuit, made once."""
    made = {}

    def of(tag, paper="a4"):
        if (tag, paper) not in made:
            assessment = alder_creek if tag in OF_DIVISION else larkfen
            one = dossier(assessment, tag, paper=paper)
            made[tag, paper] = one, print_dossier(one.attachment, one.digest)
        return made[tag, paper]

    return of
