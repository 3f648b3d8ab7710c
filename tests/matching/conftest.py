"""A small catalogue of invented parts, and a function that reads one line or many against it."""

import pytest

from partsdb.matching.context import ListContext
from partsdb.matching.lines import read_lines
from partsdb.matching.readings import CatalogueEntry, LineText

MAKERS = ("Quillmere", "Tarnbeck", "Vossgrund", "Corrowby", "Pellmarch", "Ambrelle")
PARTS = (
    ("Quillmere", "24-1180", "Valve kit, bypass, Q33, 1/4 NPT, WC ball and seat, 3300 psi", "valve kit"),
    ("Quillmere", "24-1180A", "Valve kit, bypass, Q33, 1/4 NPT, WC ball and seat, 3300 psi, revision A", "valve kit"),
    ("Quillmere", "24-1181", "Valve kit, inlet, Q33, 3/4 NPT, 440C ball and seat, 3300 psi", "valve kit"),
    ("Quillmere", "24-1247", "Valve kit, outlet check, Q33, 3/8 NPT, WC ball and seat, 3300 psi", "valve kit"),
    ("Quillmere", "24-1399", "Ball, 1/2 in, tungsten carbide", "ball"),
    ("Quillmere", "25-1230", "Packing, lower, Q30, 18 mm, UHMWPE", "packing"),
    ("Quillmere", "28-1222", "Nipple, outlet, 1/4 x 1/4 NPT, carbon steel, 5000 psi", "nipple"),
    ("Quillmere", "3-05", "Pin, retaining, 3 x 16 mm, 440C stainless", "pin"),
    ("Quillmere", "27-1232", "Whip hose, airless, 3/16 in x 1 m, 1/4 NPSM, 3000 psi", "whip hose"),
    ("Vossgrund", "0029.2000", "Valve kit, delivery, J120, M24x1.5, ceramic ball, 440C seat, 120 bar", "valve kit"),
    ("Vossgrund", "0061.2690", "Hose, drain jetting, DN 10 x 20 m, G 1/2, 250 bar", "hose"),
    ("Vossgrund", "0061.2700", "Hose, drain jetting, DN 10 x 40 m, G 1/2, 250 bar", "hose"),
    ("Vossgrund", "123456789012", "Nozzle, drain, 3 rear jets, G 1/4, 316 stainless, 250 bar", "nozzle"),
    ("Tarnbeck", "T7.204.145", "Valve kit, suction, T200, M24x1.5, 440C ball and seat, 200 bar", "valve kit"),
    ("Tarnbeck", "T7.310.530", "Hose, washer, DN 8 x 30 m, M22x1.5, 250 bar", "hose"),
    ("Tarnbeck", "77-100", "Gun, straight, M22x1.5, 400 bar", "gun"),
    ("Pellmarch", "77-100", "Filter, gun, 60 mesh, 1/4 NPT", "filter"),
    ("Ambrelle", "AGS-1015", "Gauge, glycerine, 63 mm, 0-250 bar, G 1/4", "gauge"),
    ("Corrowby", "CW 50434", "Packing kit, solvent, Q33E, 18 mm, PTFE", "packing kit"),
    ("Ambrelle", "12-1.25", "Fitting, elbow, G 1/2, brass, 1200 psi", "fitting"),
    ("Ambrelle", "1-21.25", "Fitting, tee, G 1/4, carbon steel, 5000 psi", "fitting"),
)  # fmt: skip
CATALOGUE = tuple(
    CatalogueEntry(at, maker, number, description, role)
    for at, (maker, number, description, role) in enumerate(PARTS, start=1)
)
CONTEXT = ListContext("Saltreeve", frozenset({"Saltreeve"}), {name: name for name in MAKERS})


@pytest.fixture(scope="session")
def catalogue():
    return CATALOGUE


@pytest.fixture(scope="session")
def context():
    return CONTEXT


@pytest.fixture(scope="session")
def numbered():
    """Return a function that gives (maker, number) of a reading's part, None when it has none."""
    parts = {entry.part_id: (entry.maker, entry.number) for entry in CATALOGUE}
    return lambda reading: parts.get(reading.part_id)


@pytest.fixture(scope="session")
def read():
    """Return a function that reads one line, its fields given by name."""

    def one(**fields):
        return read_lines([LineText(place="row 1", **fields)], CATALOGUE, context=CONTEXT)[0]

    return one
