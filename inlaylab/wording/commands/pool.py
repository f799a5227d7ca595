"""What the command pool says; what was learnt is told in `wording.answers.pool`."""

from __future__ import annotations

POOL = "learn starting beliefs from many logs, folders or findings pages; `fit --beliefs` begins from them"
POOL_DETAILS = (
    "Each shop is fitted on its own. Finished fits are kept beside the beliefs: Ctrl-C stops, and the same command "
    "goes on from there. A file that cannot be used is named and passed over. The beliefs hold no name, note or single "
    "reading of a shop."
)
OPTIONS = {
    "files": "logs, folders of tables and findings pages, one for each shop",
    "--out": "the beliefs to write",
    "--dask": "a Dask scheduler to fit on, instead of this machine",
    "--workers": "worker processes here, one for each core if left out",
}
A_NUMBER_OF_WORKERS = "a number of workers"
NAME, A_JSON = "name of the beliefs", "a name that ends in .json"


def written(path: object) -> str:
    """Say where the beliefs are."""
    return f"Wrote {path}."
