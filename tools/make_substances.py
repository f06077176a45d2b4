"""Write the table of substances that the library carries. A developer's tool.

Names, synonyms, registry numbers and gas groups stand here: the groups are from memory, with a
confidence. Autoignition temperatures are taken from the tables that the ``chemicals`` library
reproduces: IEC 60079-20-1:2010 where it has the substance, NFPA 497:2008 where only that has it,
and what is written here, from memory, where neither has.

    python tools/make_substances.py            writes the table
    python tools/make_substances.py --check    fails where the table is not what it would write
"""

from __future__ import annotations

import csv
import io
import sys
from pathlib import Path
from typing import NamedTuple

from chemicals import safety

TABLE = Path(__file__).resolve().parent.parent / "src/subspark/model/data/substances.csv"
COLUMNS = (
    "name",
    "synonyms",
    "cas",
    "group",
    "group_confidence",
    "group_source",
    "autoignition_C",
    "autoignition_source",
    "nfpa_autoignition_C",
    "nfpa_source",
    "note",
)
HEAD = """\
# Substances, their gas groups and autoignition temperatures. Written by tools/make_substances.py:
# change that, not this. Groups are from memory, with a confidence (H high, M medium, L low), and
# were not compared with a printed copy; the standard in force decides.
"""
GROUP_SOURCE = "IEC 60079-20-1, from memory"
IEC_SOURCE = "IEC 60079-20-1:2010"
NFPA_SOURCE = "NFPA 497:2008"
MEMORY_SOURCE = "from memory"


class Entry(NamedTuple):
    """What is known by hand of one substance."""

    name: str
    synonyms: str
    cas: str
    group: str
    confidence: str
    note: str = ""
    remembered_C: float | None = None


OLD_IIA = "Older lists give group IIA."
MIXTURE = "A mixture: the figure of the particular product governs."

ENTRIES = (
    Entry(
        "Methane", "", "74-82-8", "IIA", "H",
        "Firedamp in mines is group I. Natural gas is a mixture: the table has only the pure gas.",
    ),
    Entry("Ethane", "", "74-84-0", "IIA", "H"),
    Entry("Propane", "", "74-98-6", "IIA", "M", "Older lists give 470 C, class T1."),
    Entry("n-Butane", "butane", "106-97-8", "IIA", "M"),
    Entry("Isobutane", "2-methylpropane", "75-28-5", "IIA", "M"),
    Entry("n-Pentane", "pentane", "109-66-0", "IIA", "M"),
    Entry("n-Hexane", "hexane", "110-54-3", "IIA", "H"),
    Entry("n-Heptane", "heptane", "142-82-5", "IIA", "M"),
    Entry("n-Octane", "octane", "111-65-9", "IIA", "M"),
    Entry("n-Nonane", "nonane", "111-84-2", "IIA", "M"),
    Entry("n-Decane", "decane", "124-18-5", "IIA", "L"),
    Entry("Cyclohexane", "hexahydrobenzene", "110-82-7", "IIA", "M"),
    Entry("Ethylene", "ethene", "74-85-1", "IIB", "H"),
    Entry("Propylene", "propene|methylethylene", "115-07-1", "IIA", "M"),
    Entry(
        "1-Butene", "but-1-ene", "106-98-9", "IIA", "L",
        "Older lists give 384 and 440 C.",
    ),
    Entry("1,3-Butadiene", "butadiene|divinyl|buta-1,3-diene", "106-99-0", "IIB", "M"),
    Entry("Acetylene", "ethyne", "74-86-2", "IIC", "H"),
    Entry("Hydrogen", "H2", "1333-74-0", "IIC", "H"),
    Entry("Carbon disulfide", "carbon disulphide|CS2", "75-15-0", "IIC", "H"),
    Entry(
        "Hydrogen sulfide", "hydrogen sulphide|H2S|sulfuretted hydrogen", "7783-06-4", "IIB", "H"
    ),
    Entry(
        "Carbon monoxide", "CO", "630-08-0", "IIB", "M",
        "In humid air. Some lists give group IIA.",
    ),
    Entry("Ammonia", "NH3|anhydrous ammonia", "7664-41-7", "IIA", "H"),
    Entry("Hydrogen cyanide", "hydrocyanic acid|HCN|prussic acid", "74-90-8", "IIB", "M"),
    Entry("Benzene", "benzol", "71-43-2", "IIA", "M", "Older lists give 560 C; T1 either way."),
    Entry("Toluene", "methylbenzene|toluol", "108-88-3", "IIA", "H"),
    Entry(
        "o-Xylene", "1,2-dimethylbenzene|ortho-xylene", "95-47-6", "IIA", "M",
        "The other two xylenes have figures of their own.",
    ),
    Entry("Ethylbenzene", "phenylethane", "100-41-4", "IIA", "M"),
    Entry("Styrene", "vinylbenzene|ethenylbenzene", "100-42-5", "IIA", "M"),
    Entry("Cumene", "isopropylbenzene|2-phenylpropane", "98-82-8", "IIA", "M"),
    Entry("Naphthalene", "", "91-20-3", "IIA", "M"),
    Entry("Phenol", "carbolic acid|hydroxybenzene", "108-95-2", "IIA", "M"),
    Entry("Aniline", "aminobenzene|phenylamine", "62-53-3", "IIA", "M"),
    Entry("Nitrobenzene", "nitrobenzol", "98-95-3", "IIA", "M"),
    Entry(
        "Methanol", "methyl alcohol|carbinol", "67-56-1", "IIA", "M",
        "Older lists give 386 C; T2 either way.",
    ),
    Entry("Ethanol", "ethyl alcohol", "64-17-5", "IIB", "M", OLD_IIA),
    Entry("1-Propanol", "propan-1-ol|n-propyl alcohol|n-propanol", "71-23-8", "IIB", "M", OLD_IIA),
    Entry(
        "2-Propanol", "isopropanol|propan-2-ol|isopropyl alcohol|IPA", "67-63-0", "IIA", "M"
    ),
    Entry("1-Butanol", "butan-1-ol|n-butanol|n-butyl alcohol", "71-36-3", "IIA", "M"),
    Entry("Acetone", "2-propanone|propanone|dimethyl ketone", "67-64-1", "IIA", "H"),
    Entry(
        "Butanone", "2-butanone|MEK|methyl ethyl ketone", "78-93-3", "IIB", "M",
        "Some lists give group IIA.",
    ),
    Entry(
        "4-Methyl-2-pentanone", "MIBK|methyl isobutyl ketone|4-methylpentan-2-one|hexone",
        "108-10-1", "IIA", "M",
    ),
    Entry("Cyclohexanone", "cyclohexyl ketone", "108-94-1", "IIA", "M"),
    Entry("Ethyl acetate", "ethyl ethanoate", "141-78-6", "IIA", "M"),
    Entry("Methyl acetate", "methyl ethanoate", "79-20-9", "IIA", "M"),
    Entry("n-Butyl acetate", "butyl acetate", "123-86-4", "IIA", "M"),
    Entry("Vinyl acetate", "ethenyl ethanoate", "108-05-4", "IIA", "M"),
    Entry("Acetic acid", "ethanoic acid", "64-19-7", "IIA", "M"),
    Entry("Acetic anhydride", "acetyl oxide", "108-24-7", "IIA", "M"),
    Entry(
        "Acetaldehyde", "ethanal", "75-07-0", "IIA", "M",
        "Older lists give 204 C, class T3.",
    ),
    Entry("Formaldehyde", "methanal", "50-00-0", "IIB", "M"),
    Entry("Acrolein", "2-propenal|acrylaldehyde", "107-02-8", "IIB", "M"),
    Entry("Diethyl ether", "ethyl ether", "60-29-7", "IIB", "H"),
    Entry(
        "Dimethyl ether", "methyl ether|methoxymethane|DME", "115-10-6", "IIB", "M",
        "Older lists give 350 C, class T2.",
    ),
    Entry("Ethylene oxide", "oxirane|epoxyethane", "75-21-8", "IIB", "M"),
    Entry("Propylene oxide", "1,2-epoxypropane|2-methyloxirane", "75-56-9", "IIB", "M"),
    Entry("1,4-Dioxane", "dioxane|diethylene dioxide", "123-91-1", "IIB", "M"),
    Entry("Tetrahydrofuran", "THF|oxolane", "109-99-9", "IIB", "M"),
    Entry("Acrylonitrile", "2-propenenitrile|cyanoethylene", "107-13-1", "IIB", "M"),
    Entry(
        "Vinyl chloride", "chloroethene|chloroethylene|VCM", "75-01-4", "IIA", "M",
        "Older lists give 470 C, class T1.",
    ),
    Entry("1,2-Dichloroethane", "ethylene dichloride|EDC", "107-06-2", "IIA", "M"),
    Entry(
        "Methyl acrylate", "methyl propenoate", "96-33-3", "IIB", "L",
        "Older lists give 415 C, class T2.",
    ),
    Entry("Epichlorohydrin", "(chloromethyl)oxirane", "106-89-8", "IIB", "M"),
    Entry("Methylamine", "aminomethane", "74-89-5", "IIA", "M"),
    Entry("Pyridine", "azine", "110-86-1", "IIA", "L"),
    Entry(
        "Isopropyl nitrate", "nitric acid isopropyl ester", "1712-64-7", "IIC", "L",
        "Remembered as IIB, and IIC in some lists: the more sensitive stands until it is checked.",
    ),
    Entry(
        "Hydrazine", "diamine", "302-01-2", "IIC", "L",
        "Depends on the surface: about 270 C (from memory, low confidence) where no metal or oxide "
        "helps it. A person decides.",
    ),
    Entry("Kerosene", "fuel oil no. 1", "8008-20-6", "IIA", "M", MIXTURE),
    Entry(
        "Petrol", "gasoline|motor spirit", "86290-81-5", "IIA", "L",
        MIXTURE + " Grades are quoted from 220 to 460 C; natural gasoline (8006-61-9) stands in "
        "IEC 60079-20-1:2010 with 280 C.",
        280.0,
    ),
)  # fmt: skip


def celsius(table: str, cas: str) -> float | None:
    """Give the autoignition temperature [C] that a table of the library holds, if it does."""
    kelvin = safety.T_autoignition(cas, method=table)
    return None if kelvin is None else round(kelvin - 273.15, 2)


def row_of(entry: Entry) -> dict[str, str]:
    """Give one row of the table."""
    iec, nfpa = celsius(safety.IEC, entry.cas), celsius(safety.NFPA, entry.cas)
    if iec is not None:
        value, source = iec, IEC_SOURCE
    elif nfpa is not None:
        value, source = nfpa, NFPA_SOURCE
    elif entry.remembered_C is not None:
        value, source = entry.remembered_C, MEMORY_SOURCE
    else:
        raise SystemExit(f"{entry.name}: no table has it; wanted a remembered value with it")
    return {
        "name": entry.name,
        "synonyms": entry.synonyms,
        "cas": entry.cas,
        "group": entry.group,
        "group_confidence": entry.confidence,
        "group_source": GROUP_SOURCE,
        "autoignition_C": f"{value:g}",
        "autoignition_source": source,
        "nfpa_autoignition_C": "" if nfpa is None else f"{nfpa:g}",
        "nfpa_source": "" if nfpa is None else NFPA_SOURCE,
        "note": entry.note,
    }


def text_of_table() -> str:
    """Give the whole table as text."""
    out = io.StringIO()
    out.write(HEAD)
    writer = csv.DictWriter(out, COLUMNS, lineterminator="\n")
    writer.writeheader()
    writer.writerows(row_of(entry) for entry in ENTRIES)
    return out.getvalue()


def main(arguments: list[str]) -> int:
    """Write the table, or check it."""
    text = text_of_table()
    if "--check" in arguments:
        fresh = TABLE.exists() and TABLE.read_text(encoding="utf-8") == text
        print(f"{TABLE.name}: {'up to date' if fresh else 'stale; run tools/make_substances.py'}")
        return 0 if fresh else 1
    TABLE.parent.mkdir(parents=True, exist_ok=True)
    TABLE.write_text(text, encoding="utf-8")
    print(f"{TABLE.name}: {len(ENTRIES)} substances")
    return 0


if __name__ == "__main__":
    raise SystemExit(main(sys.argv[1:]))
