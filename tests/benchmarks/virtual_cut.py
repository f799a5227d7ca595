"""
Time and memory of the virtual cut: an ornament, an emblem, and how both grow with pixels and with corners.

``python tests/benchmarks/virtual_cut.py [quick]``; each line is measured in a process of its own.

Measured last, beside other work on two cores, CPU seconds with the import of Numba (about 1 s): emblem of 13,600
corners at 0.05 mm 6.1, 310 MB (9.8 in turns with it before cells far from the finished face were left out). A coarse
picture, with the axis at hand: ornament 0.2 s, emblem about 1.5 s.
"""

import json
import resource
import subprocess
import sys
import time
from pathlib import Path

ROOT = Path(__file__).resolve().parents[2]
SETTINGS = {"bit_angle": 60, "true_angle": 60.4, "tip_flat": 0.1, "start_depth": 3.4, "pocket_depth": 4.0}
RUNS = [
    ("ornament", 0, 0.1),
    ("emblem", 14_000, 0.2),
    ("emblem", 14_000, 0.1),
    ("emblem", 14_000, 0.05),
    ("emblem", 1_750, 0.1),
    ("emblem", 3_500, 0.1),
    ("emblem", 7_000, 0.1),
    ("emblem", 28_000, 0.1),
]


def measure(name, corners, pixel):
    sys.path.insert(0, str(ROOT / "tests" / "reference"))
    import shapely
    from shapes import emblem

    from inlaylab.artwork.cutting.virtual_cut import virtual_cut
    from inlaylab.artwork.polygons import clean
    from inlaylab.artwork.reading.outlines import Artwork, read_artwork

    if name == "ornament":
        artwork = read_artwork(ROOT / "data" / "artwork" / "ornament.svg")
    else:
        artwork = Artwork(polygons=clean(emblem(corners)))
    began = time.process_time()
    cut = virtual_cut(artwork, relief_depth=3.0, sanded_off=0.3, pixel=pixel, **SETTINGS)
    return {
        "corners": int(shapely.get_num_coordinates(artwork.polygons)),
        "pixels": cut.grid.rows * cut.grid.columns,
        "seconds": time.process_time() - began,
        "megabytes": resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024,
        "stand_off": cut.stand_off,
        "fill_rate": cut.fill_rate,
    }


def main(runs):
    heads = {"pixel mm": 9, "corners": 9, "pixels": 12, "CPU s": 8, "peak MB": 9, "stand-off": 11, "fill": 8}
    print("artwork   " + "".join(f"{head:>{wide}}" for head, wide in heads.items()))
    for name, corners, pixel in runs:
        words = [sys.executable, __file__, "one", name, str(corners), str(pixel)]
        found = json.loads(subprocess.run(words, check=True, capture_output=True, text=True).stdout)
        print(
            f"{name:10}{pixel:>9}{found['corners']:>9}{found['pixels']:>12}{found['seconds']:>8.1f}"
            f"{found['megabytes']:>9.0f}{found['stand_off']:>11.4f}{found['fill_rate']:>8.4f}"
        )


if __name__ == "__main__":
    if sys.argv[1:2] == ["one"]:
        print(json.dumps(measure(sys.argv[2], int(sys.argv[3]), float(sys.argv[4]))))
    else:
        main(RUNS[:2] if sys.argv[1:] == ["quick"] else RUNS)
