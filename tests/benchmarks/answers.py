"""
How fast the kit answers: the commands, `advise` for many strokes, one turn of a slider, twelve stations typed in, and
what to measure next.

``python tests/benchmarks/answers.py``. Commands are timed by the clock as whole processes (median of three); the rest
is CPU time, each without its first call. Wanted: commands 2 s (6 with `advise`), `advise` with 300 strokes and more and
`findings` 3 s and 500 MB, a turn 0.1 s, twelve stations 0.5 s.

Measured last, two cores (other machines of that kind took up to twice as long): fit of the sample shop (26 cuts, 314
readings) from a cold start 20.1 s, --help 0.07, check 0.46, export 0.13, the stored fit 0.25, advise 0.36, a turn of
the section explorer 0.062 (at most 0.137), of the plan 0.004 (its figures follow on request), what to measure next 2.2.
Beside much other work, CPU: `advise` with 300, 1,000 and 3,000 strokes 2.2, 3.7 and 6.7 s, 127, 168 and 348 MB;
findings 3.3 s, with PDF 5.3.
"""

import os
import random
import resource
import statistics
import subprocess
import sys
import tempfile
import time
from pathlib import Path

ROOT = Path(__file__).resolve().parents[2]
STROKES = "stroke_width,land_width,unit\n0.8,2.0,mm\n3.0,3.0,mm\n0.28,0.24,in\n"
ASKED = ["--pair", "walnut-maple", "--pocket-depth", "2.5mm", "--relief-depth", "1.2mm", "--within", "0.1mm"]


def timed(name, call, times=3, clock=time.process_time):
    took = []
    for turn in range(times):
        began = clock()
        call(turn)
        took.append(clock() - began)
    print(f"{name:45}{statistics.median(took):8.3f} s   most {max(took):.3f}", flush=True)


def commands(folder):
    """Time the commands on the sample shop; returns its fitted log."""

    def run(*words):
        subprocess.run([sys.executable, "-m", "inlaylab", *map(str, words)], check=True, capture_output=True)

    log, strokes = folder / "sample.inlay", folder / "strokes.csv"
    strokes.write_text(STROKES)
    run("import", log, ROOT / "data" / "sample_shop")
    timed("fit, from a cold start", lambda turn: run("fit", log), times=1, clock=time.perf_counter)
    timed("export", lambda turn: run("export", log, folder / f"tables{turn}"), clock=time.perf_counter)
    for words in (
        ["--help"],
        ["check", log],
        ["fit", log],  # the stored fit answers
        ["advise", log, "--bit", "ninety", *ASKED, "--strokes", strokes],
    ):
        timed(words[0], lambda turn, words=words: run(*words), clock=time.perf_counter)
    return log


def many_strokes(log, folder):
    """Time and memory of `advise` for drawings of many strokes, and of a findings page, as processes."""
    rng = random.Random(4)
    asked = ["--bit", "ninety", *ASKED]
    for count in (300, 1000, 3000):
        strokes = folder / f"strokes{count}.csv"
        rows = [f"{rng.uniform(0.4, 9):.3f},{rng.uniform(0.5, 12):.3f},mm" for _ in range(count)]
        strokes.write_text("\n".join(["stroke_width,land_width,unit", *rows]))
        whole_process(f"advise, {count} strokes", ["advise", log, *asked, "--strokes", strokes])
    whole_process("findings", ["findings", log, "--out", folder / "findings.html"])
    whole_process("findings, with PDF", ["findings", log, "--out", folder / "f.html", "--pdf", folder / "f.pdf"])


def whole_process(name, words):
    began, before = time.perf_counter(), resource.getrusage(resource.RUSAGE_CHILDREN)
    script = "import resource, sys; from inlaylab.command_line import main; main(sys.argv[1:]); " + (
        "print(resource.getrusage(resource.RUSAGE_SELF).ru_maxrss // 1024)"
    )
    ran = [sys.executable, "-c", script, *map(str, words)]
    most = subprocess.run(ran, check=True, capture_output=True, text=True).stdout.split()[-1]
    after = resource.getrusage(resource.RUSAGE_CHILDREN)
    spent = after.ru_utime + after.ru_stime - before.ru_utime - before.ru_stime
    print(f"{name:45}{time.perf_counter() - began:8.3f} s   CPU {spent:.3f} s, {most} MB", flush=True)


def sliders():
    from inlaylab.panels.plan_an_artwork.view import PlanAnArtwork
    from inlaylab.panels.tune_the_start_depth.try_settings import Explorer, ExplorerState

    explorer = Explorer(ExplorerState()).sliders["start_depth"]
    plan = PlanAnArtwork()
    plan.fields["drawing"].box.value = "lettering.svg"
    plan.open.click()
    for name, slider in (("section explorer", explorer), ("plan of an artwork", plan.sliders["start_depth"])):
        slider.value = 2.0
        timed(f"a turn: {name}", lambda turn, slider=slider: setattr(slider, "value", 2.1 + turn / 100), times=40)


def stations():
    from inlaylab.bench.coupons import Coupon, Station
    from inlaylab.panels.log_a_test_cut.station_entries import GridState
    from inlaylab.panels.log_a_test_cut.station_grid import StationGrid
    from inlaylab.panels.shared.length_entries import LengthEntry

    state = GridState(limit=LengthEntry("smallest gap you can see", typed="0.05 mm"))
    state.show(
        Coupon(
            coupon="ladder",
            stations=tuple(
                Station(coupon="ladder", station=f"B{n}", kind="bar", stroke_width=n, land_width=3, grain="along")
                for n in range(1, 13)
            ),
        )
    )
    grid = StationGrid(state)

    def type_in(turn):
        for row in grid.rows:
            row.box.value = f"0.1{turn}"

    timed("twelve stations typed in", type_in, times=5)


def what_next(log):
    from inlaylab.fitting.next.next_cut import next_cut
    from inlaylab.fitting.predict.question import Question
    from inlaylab.services.open_log import open_fitted

    shop, fit = open_fitted(log)
    question = Question(bit="ninety", pair="walnut-maple", pocket_depth=2.5, relief_depth=1.2, within=0.1)
    timed("what to measure next", lambda turn: next_cut(fit, shop, question))


if __name__ == "__main__":
    with tempfile.TemporaryDirectory() as folder:
        os.chdir(folder)
        log = commands(Path(folder))
        many_strokes(log, Path(folder))
        sliders()
        stations()
        what_next(log)
