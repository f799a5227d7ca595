"""
Coverage-guided fuzzing of everything that reads strangers' files.

    pip install atheris                              (CPython 3.11 to 3.13, Linux or macOS)
    python tests/fuzz/fuzz.py tables -max_total_time=300

The target is one of tests/fuzz/targets.py. What is found new goes to a folder of its own, never into the corpus that is
kept; a finding is written to the working folder as crash-…, and the run stops there.

Last runs, on one of two shared cores, after the last finding: tables 38,000 inputs in 300 s, lengths 153,000 in 300 s,
svg 25,000 in 200 s, dxf 20,000 in 200 s, logs 1,400 in 200 s (each is opened, changed and recovered). Found before and
mended: an unassigned character in a message, a DXF whose unit is no number, a log whose history or schema has bytes
changed.
"""

import os
import sys
import tempfile
from pathlib import Path

HERE = Path(__file__).parent


def main():
    """Run one target over its corpus and on."""
    import atheris

    sys.path.insert(0, str(HERE))
    with atheris.instrument_imports(include=["inlaylab"], enable_loader_override=False):
        from targets import TARGETS

        import inlaylab.artwork.reading.outlines
        import inlaylab.log.tables.import_export  # noqa: F401
    if len(sys.argv) < 2 or sys.argv[1] not in TARGETS:
        sys.exit(f"usage: fuzz.py {{{','.join(TARGETS)}}} [options of libFuzzer]")
    name = sys.argv[1]
    os.fsync = lambda place: None  # nothing that is written here has to outlive the run
    found = tempfile.mkdtemp(prefix=f"fuzz-{name}-")
    options = ["-max_len=4096", *sys.argv[2:]]
    atheris.Setup([sys.argv[0], found, str(HERE / "corpus" / name), *options], TARGETS[name])
    atheris.Fuzz()


if __name__ == "__main__":
    main()
