"""Every target of the fuzzer runs over its corpus in the ordinary tests, and over spoiled pieces of it."""

import os
import random
import sys
from pathlib import Path

import pytest

HERE = Path(__file__).parent
sys.path.insert(0, str(HERE))

from targets import TARGETS  # noqa: E402

CORPUS = [(path.parent.name, path) for path in sorted((HERE / "corpus").glob("*/*"))]
TRIES = {"tables": 300, "lengths": 2000, "logs": 40, "svg": 20, "dxf": 20}


@pytest.fixture(autouse=True)
def _no_waiting_for_the_drive(monkeypatch):
    monkeypatch.setattr(os, "fsync", lambda place: None)


@pytest.mark.parametrize(("target", "path"), CORPUS, ids=[f"{name}-{path.name}" for name, path in CORPUS])
def test_the_corpus_is_read_or_refused(target, path):
    TARGETS[target](path.read_bytes())


@pytest.mark.parametrize("target", TARGETS)
def test_spoiled_pieces_of_the_corpus_are_read_or_refused(target):
    chance = random.Random(target)
    seeds = [path.read_bytes() for name, path in CORPUS if name == target]
    assert seeds
    for _ in range(TRIES[target]):
        data = bytearray(chance.choice(seeds))
        for _ in range(chance.randrange(1, 5)):
            at = chance.randrange(len(data) + 1)
            data[at : at + chance.randrange(4)] = chance.randbytes(chance.randrange(4))
        TARGETS[target](bytes(data))


def test_a_target_without_anything_to_start_from_is_noticed():
    assert {name for name, _ in CORPUS} == set(TARGETS)
