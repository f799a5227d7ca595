"""
Writes to a log until it is killed or done; says each save once the log has acknowledged it.

    python log_writer.py LOG save NAME COUNT [STEPS]     saves cuts NAME-1, NAME-2, … with three readings each
    python log_writer.py LOG import FOLDER [STEPS]       imports a folder of tables
    python log_writer.py LOG merge OTHER [STEPS]         merges another log into it

With STEPS it kills itself after so many steps of SQLite's own machine, so that a run can be repeated exactly.
"""

import os
import signal
import sys
from pathlib import Path

from inlaylab.bench.bits import Bit
from inlaylab.bench.cuts import Cut, Pair
from inlaylab.bench.forecasts import Forecast
from inlaylab.bench.readings import Reading
from inlaylab.log.file import opening
from inlaylab.log.merging.join import join
from inlaylab.log.store import Log
from inlaylab.log.tables.import_export import import_folder


def kill_after(steps):
    """Have every connection count its steps, and kill this process at the last."""
    whole = opening.connect
    left = [steps]

    def step():
        left[0] -= 1
        if left[0] <= 0:
            os.kill(os.getpid(), signal.SIGKILL)

    def connect(path, **more):
        connection = whole(path, **more)
        connection.set_progress_handler(step, 1)
        return connection

    opening.connect = connect


def save(path, name, count):
    """Save cuts one by one, each with what was expected of it."""
    with Log.open(path) as log:
        print("open", flush=True)
        for number in range(1, count + 1):
            cut = {"cut": f"{name}-{number}", "bit": "b1", "pair": "p1", "start_depth": 2.5}
            gap = {"cut": f"{name}-{number}", "unit": "mm"}
            read = [Reading(kind=kind, value=1.0, **gap) for kind in ("backer_gap", "floor_gap", "plug_depth")]
            expected = Forecast(cut=cut["cut"], made="2026-03-05T10:00:00+00:00", within=0.1, chance=0.5, known=3)
            log.save_cut(Cut(**cut, pocket_depth=4.2, relief_depth=1.6), read, by=name, forecast=expected)
            print(cut["cut"], flush=True)


def ready(path):
    """Make a log with the bit and the pair that the cuts need."""
    with Log.make(path) as log:
        log.add(Bit(bit="b1", nominal_angle_deg=60))
        log.add(Pair(pair="p1", host="maple", insert="walnut"))


if __name__ == "__main__":
    path, job, what, *rest = sys.argv[1:]
    numbers = [int(word) for word in rest]
    if job == "save":
        if len(numbers) > 1:
            kill_after(numbers[1])
        save(Path(path), what, numbers[0])
    elif job == "merge":
        kill_after(numbers[0])
        join(path, what)
    else:
        if numbers:
            kill_after(numbers[0])
        print(import_folder(path, what).added["readings"], flush=True)
