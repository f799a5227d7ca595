"""
Time and memory of reading a picture: a scan, a photo, and as many pixels as a phone gives, as JPEG, PNG and TIFF.

``python tests/benchmarks/pictures.py``; each line is measured in a process of its own, libraries and all.

On two cores that some twenty other processes shared, so only processor time and memory say something: a rendered scan
of 5 megapixels took 5.0 to 5.5 s of processor time and 211 to 217 MB; a photo of 10 megapixels 5.3 to 6.0 s and 233 to
239 MB; 50 megapixels (49.9; a coupon of 90 by 70 mm at 75 pixels a mm, enlarged from 33) 5.8 s and 388 MB as JPEG,
6.1 s and 413 MB as PNG, 6.9 s and 671 MB as TIFF without compression (150 MB on disk). By the clock these took 20 to
24 s, beside a load of 22, three to four times their processor time. A quiet machine was not to be had.
"""

import json
import os
import subprocess
import sys
import tempfile
import time
from pathlib import Path

ROOT = Path(__file__).resolve().parents[2]
SIZES = {"scan, 600 dpi": 23.6, "photo, 12 megapixels": 33.0, "phone, 50 megapixels": 74.9}
KINDS = ("JPEG", "PNG", "TIFF")


def rendered(folder, per_mm):
    """A rendered coupon in every format; the largest are enlarged from one of 33 pixels a mm."""
    sys.path.insert(0, str(ROOT / "tests" / "reference"))
    import cv2
    from rendered_coupon import Rendered, Scene, render

    layout = small_coupon().layout
    drawn = min(per_mm, 33.0)
    values = render(layout, Scene(host="tan", insert="pale", line=0.06, per_mm=drawn, turn=2.0, seed=3)).values
    if per_mm > drawn:
        values = cv2.resize(values, None, fx=per_mm / drawn, fy=per_mm / drawn, interpolation=cv2.INTER_CUBIC)
    for kind in KINDS:
        (folder / f"face.{kind.lower()}").write_bytes(Rendered(values=values, truth={}).file(kind))
    return values.shape[0] * values.shape[1]


def small_coupon():
    from inlaylab.artwork.sheets.coupon import design_coupon

    return design_coupon(name="c1", path_angle=60, pocket_depth=4.2, relief_depth=1.6, length=90, width=70, border=9)


def most_memory():
    """Most memory of this process [MB]; Linux's own count, for that of `resource` begins with the parent's."""
    line = next(line for line in Path("/proc/self/status").read_text().splitlines() if line.startswith("VmHWM"))
    return int(line.split()[1]) / 1024


def measure(path):
    from inlaylab.bench.layouts import read_layout
    from inlaylab.pictures.opening import open_picture
    from inlaylab.pictures.read import read_picture

    layout = read_layout((path.parent / "LAYOUT.json").read_text())
    start, work = time.perf_counter(), time.process_time()
    reading = read_picture(open_picture(path), layout)
    found = [one for one in reading.stations if one.glue_line is not None]
    return {
        "seconds": time.perf_counter() - start,
        "processor": time.process_time() - work,
        "megabytes": most_memory(),
        "lines": len(found),
        "off": max(abs(one.glue_line - 0.06) for one in found),
    }


def main():
    if len(sys.argv) > 1:
        print(json.dumps(measure(Path(sys.argv[1]))))
        return
    print(f"load before: {os.getloadavg()[0]:.1f}")
    for name, per_mm in SIZES.items():
        with tempfile.TemporaryDirectory() as held:
            folder = Path(held)
            (folder / "LAYOUT.json").write_text(small_coupon().coupon.layout)
            pixels = rendered(folder, per_mm)
            for kind in KINDS:
                done = subprocess.run(
                    [sys.executable, __file__, str(folder / f"face.{kind.lower()}")],
                    capture_output=True,
                    text=True,
                    check=True,
                )
                one = json.loads(done.stdout)
                print(
                    f"{name:22s} {kind:5s} {pixels / 1e6:5.1f} Mpx  {one['seconds']:5.1f} s  {one['processor']:5.1f} s "
                    f"of processor  {one['megabytes']:4.0f} MB  {one['lines']} lines, {one['off']:.3f} mm off at most",
                    flush=True,
                )


if __name__ == "__main__":
    main()
