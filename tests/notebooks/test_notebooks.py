"""Each notebook runs from an empty folder, as a maker's would; its first cell is light; its links lead somewhere."""

import json
import re
import subprocess
import sys
from pathlib import Path

import pytest

ROOT = Path(__file__).resolve().parents[2]
NOTEBOOKS = sorted((ROOT / "notebooks").glob("*.ipynb"))
HEAVY = ("jax", "numpyro", "matplotlib", "ipywidgets", "shapely", "pandas", "scipy", "nbconvert", "numpy")


@pytest.mark.long
def test_the_first_runs_from_an_empty_folder_and_shows_a_panel(tmp_path):
    # Each of them is run from the sample shop by nbval and in a browser; the first one here without even that.
    import nbformat
    from nbclient import NotebookClient

    notebook = nbformat.read(NOTEBOOKS[0], as_version=4)
    client = NotebookClient(
        notebook, timeout=600, kernel_name="python3", resources={"metadata": {"path": str(tmp_path)}}
    )
    client.execute(stderr=subprocess.DEVNULL)
    outputs = [output for cell in notebook.cells for output in cell.get("outputs", [])]
    kinds = {kind for output in outputs for kind in output.get("data", {})}
    assert "application/vnd.jupyter.widget-view+json" in kinds
    assert [output for output in outputs if output.output_type in ("error", "stream")] == []
    assert (tmp_path / "sample_shop.inlay").exists(), "without a log of one's own, the sample shop's is made here"


@pytest.mark.parametrize("path", NOTEBOOKS, ids=lambda path: path.stem)
def test_the_log_is_one_line_and_the_first_cell_is_light(path):
    cells = json.loads(path.read_text(encoding="utf-8"))["cells"]
    code = ["".join(cell["source"]) for cell in cells if cell["cell_type"] == "code"]
    assert sum(line.startswith("log = None") for source in code for line in source.splitlines()) == 1
    asked = f"{code[0]}\nimport sys\nprint([m for m in {HEAVY!r} if m in sys.modules])"
    done = subprocess.run([sys.executable, "-c", asked], capture_output=True, text=True, timeout=60, check=True)
    assert done.stdout.strip() == "[]"


@pytest.mark.parametrize("path", NOTEBOOKS, ids=lambda path: path.stem)
def test_a_sentence_stands_before_every_cell_and_links_lead_to_notebooks(path):
    cells = json.loads(path.read_text(encoding="utf-8"))["cells"]
    for before, cell in zip([None, *cells], cells, strict=False):
        if cell["cell_type"] == "code":
            assert before is not None and before["cell_type"] == "markdown"
    for link in re.findall(r"\]\(([^)]+\.ipynb)\)", "".join("".join(cell["source"]) for cell in cells)):
        assert (path.parent / link).exists(), link


@pytest.mark.parametrize("path", NOTEBOOKS, ids=lambda path: path.stem)
def test_code_is_folded_away_and_the_words_do_without_it(path):
    cells = json.loads(path.read_text(encoding="utf-8"))["cells"]
    for cell in cells:
        if cell["cell_type"] == "code":
            assert cell["metadata"]["jupyter"]["source_hidden"] is True
        else:
            words = "".join(cell["source"])
            assert not re.search(r"(?i)\bcell\b|\bline of code\b|log =|import", words), words
