"""
Every check against something outside the project, in one table: ``python tests/outside_checks.py``.

Runs the tests listed here and prints, for each, its source, what is compared, how closely, whether the reference is a
publication, another library, a definition, from memory or common practice, and whether it held.
"""

import subprocess
import sys
import tempfile
import xml.etree.ElementTree as ElementTree
from dataclasses import dataclass
from pathlib import Path

ROOT = Path(__file__).resolve().parent.parent


@dataclass(frozen=True)
class Check:
    """A test, its source, what it compares, the tolerance, and on what basis the reference stands."""

    test: str
    source: str
    compared: str
    tolerance: str
    basis: str


CHECKS = tuple(
    Check(*row)
    for row in (
        ("tests/test_units.py::test_lengths_as_makers_type_them", "ISO 80000-3: 1 in = 25.4 mm",
         "lengths as typed", "exact", "publication"),
        ("tests/handbook/test_woods.py::test_the_handbooks_other_printing_says_the_same",
         "Wood Handbook, FPL-GTR-282, Tables 5-3b and 5-5b", "gravity and hardness, metric against inch-pound printing",
         "rounding", "publication"),
        ("tests/handbook/test_woods.py::test_values_of_one_wood_fit_each_other", "wood physics",
         "tangential above radial, totals above parts", "inequality", "common practice"),
        ("tests/handbook/test_woods.py::test_hard_woods_are_heavy_woods", "Wood Handbook, Table 5-11",
         "hardness against gravity", "factor 2", "publication"),
        ("tests/handbook/test_gluing.py::test_both_unit_systems_say_the_same", "definitions of the units",
         "both columns of the gluing table", "rounding", "definition"),
        ("tests/handbook/test_cautions.py::test_equal_energy_trade_of_noise_is_3_decibels",
         "SCENIHR (2008), Table 3", "noise limits", "exact", "publication"),
        ("tests/handbook/test_cautions.py::test_osha_halves_the_time_every_5_decibels", "29 CFR 1910.95, Table G-16",
         "noise limits", "exact", "publication"),
        ("tests/models/around/test_moisture.py::test_wood_handbook_table_4_2_all_196_points",
         "Wood Handbook, Table 4-2", "equilibrium moisture content", "0.06 points", "publication"),
        ("tests/models/around/test_moisture.py::test_dimension_movement_examples_of_others",
         "worked examples, each named in its row", "movement of a board", "printed digits", "publication"),
        ("tests/models/around/test_moisture.py::test_wood_handbook_table_13_5_follows_table_4_3_for_domestic_woods",
         "Wood Handbook, Tables 4-3 and 13-5", "movement coefficients", "0.000015", "publication"),
        ("tests/models/around/test_moisture.py::test_a_coefficient_from_shrinkage_follows_equation_13_3",
         "Wood Handbook, equation 13-3", "movement", "3 %", "publication"),
        ("tests/models/measuring/test_uncertainty.py::test_gum_h1_end_gauge", "JCGM 100:2008, H.1",
         "length and its uncertainty", "printed digits", "publication"),
        ("tests/models/measuring/test_uncertainty.py::test_gum_h2_resistance", "JCGM 100:2008, H.2",
         "correlated impedance", "printed digits", "publication"),
        ("tests/models/measuring/test_lines.py::test_gum_h3_thermometer", "JCGM 100:2008, H.3", "calibration line",
         "printed digits", "publication"),
        ("tests/models/measuring/test_lines.py::test_one_line_agrees_with_scipy", "scipy.stats.linregress",
         "line and its uncertainties", "1e-7", "library"),
        ("tests/models/measuring/test_least_squares.py::test_nist_strd", "NIST Statistical Reference Datasets",
         "certified curves, from both starts", "6 digits", "publication"),
        ("tests/models/test_filling.py::test_bliss_beetles_1935_logit_curve", "Bliss (1935); Dobson, Table 7.4",
         "logit curve", "printed digits", "publication, coefficients from memory"),
        ("tests/models/test_walls.py::test_geometry_checks_iso_68_1_triangle", "ISO 68-1", "60-degree triangle",
         "printed digits", "from memory"),
        ("tests/models/test_walls.py::test_geometry_checks_iso_724_m6", "ISO 724", "thread diameters", "0.001 mm",
         "from memory"),
        ("tests/models/test_seating.py::test_200_random_sections_agree_with_the_brute_force_envelope",
         "brute-force envelope of the bit", "seat level", "its grid", "definition"),
        ("tests/models/around/test_tram.py::test_random_strokes_agree_with_boards_cut_on_a_grid",
         "boards cut on a grid", "glue lines under a lean", "its grid", "definition"),
        ("tests/fitting/test_outside.py::test_tobin_1958_durable_goods", "Tobin (1958), Econometrica 26",
         "censored regression", "printed digits", "publication"),
        ("tests/fitting/test_outside.py::test_fair_1978_affairs", "Fair (1978); Greene, Econometric Analysis",
         "censored regression, both sides", "printed digits", "publication"),
        ("tests/fitting/test_outside.py::test_bliss_1935_beetles", "Bliss (1935); Dobson, Table 7.4",
         "logit fit", "printed digits", "publication, coefficients from memory"),
        ("tests/artwork/cutting/test_virtual_cut.py::test_a_perfect_bit_mates_everywhere",
         "the definition: a perfect bit closes every wall", "stand-off and both surfaces", "0.001, 0.002 mm",
         "definition"),
        ("tests/artwork/cutting/test_virtual_cut.py::test_areas_are_those_of_offset_outlines", "shapely's buffer",
         "filled and open areas", "stated by pixel", "library"),
        ("tests/artwork/reading/test_outlines.py::test_an_svgs_size_is_its_width_with_its_unit",
         "SVG 2, chapter 8; CSS Values", "sizes with units", "exact", "publication"),
        ("tests/artwork/reading/test_outlines.py::test_svgwrite_writes_groups_symbols_and_strokes", "svgwrite",
         "drawings written elsewhere", "0.2 %", "library"),
        ("tests/artwork/sheets/test_drawings.py::test_dxf_has_true_size_units_and_layers", "ezdxf",
         "drawings read elsewhere", "0.001 mm", "library"),
    )
)  # fmt: skip


def run(checks):
    """Outcome of each check: held, failed, skipped or missing."""
    with tempfile.TemporaryDirectory() as folder:
        report = Path(folder) / "report.xml"
        words = [sys.executable, "-m", "pytest", "-q", f"--junit-xml={report}", *(check.test for check in checks)]
        subprocess.run(words, cwd=ROOT, check=False, capture_output=True)
        cases = ElementTree.parse(report).getroot().iter("testcase")
        seen = [(case.get("classname", ""), case.get("name", ""), [child.tag for child in case]) for case in cases]
    for check in checks:
        place, _, name = check.test.partition("::")
        module = place.removesuffix(".py").replace("/", ".")
        tags = [tags for where, test, tags in seen if where == module and test.split("[")[0] == name]
        if not tags:
            yield "missing"
        elif any("failure" in each or "error" in each for each in tags):
            yield "FAILED"
        else:
            yield "skipped" if all("skipped" in each for each in tags) else f"held ({len(tags)})"


def main():
    """Print the table; exit status 1 where a check failed, was skipped or is missing."""
    results = list(run(CHECKS))
    rows = [("source", "compared", "tolerance", "basis", "result", "test")]
    rows += [
        (check.source, check.compared, check.tolerance, check.basis, result, check.test)
        for check, result in zip(CHECKS, results, strict=True)
    ]
    print("\n".join("| " + " | ".join(row) + " |" for row in [rows[0], ("---",) * 6, *rows[1:]]))
    return 0 if all(result.startswith("held") for result in results) else 1


if __name__ == "__main__":
    sys.exit(main())
