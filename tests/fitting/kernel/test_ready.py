"""Compiled code is made in a process of its own where this machine has none, and only there."""

from pathlib import Path
from threading import Timer

import pytest

from inlaylab.fitting.kernel import compiling, ready


@pytest.fixture
def asked(tmp_path, monkeypatch):
    """An empty place for machine code, and the processes that were asked for."""
    made = []
    monkeypatch.setattr(compiling, "kept_in", lambda: tmp_path)
    monkeypatch.setattr(ready.subprocess, "run", lambda words, **how: made.append(words))
    return made


def test_a_machine_without_machine_code_compiles_it_beside(asked):
    ready.compile_beside()
    assert {words[2] for words in asked} == {"inlaylab.fitting.kernel.ready"}
    assert {name for words in asked for name in words[3:]} == {"stretch", "densities", "cut_chances"}


def test_what_is_kept_is_not_compiled_again(asked, tmp_path):
    (tmp_path / "density.nbi").touch()
    ready.compile_beside()
    assert asked == []


def test_where_nothing_can_be_kept_no_process_is_begun(asked, monkeypatch):
    monkeypatch.setattr(compiling, "kept_in", lambda: None)
    ready.compile_beside()
    assert asked == []


def test_a_process_that_can_not_begin_costs_nothing_but_time(tmp_path, monkeypatch):
    def refuse(words, **how):
        raise PermissionError("no more processes")

    monkeypatch.setattr(compiling, "kept_in", lambda: tmp_path)
    monkeypatch.setattr(ready.subprocess, "run", refuse)
    ready.compile_beside()
    assert not list(Path(tmp_path).iterdir())


def test_what_another_process_compiles_is_waited_for(asked, tmp_path):
    sign = tmp_path / "being compiled"
    sign.touch()
    Timer(0.3, sign.unlink).start()
    ready.compile_beside()
    assert not sign.exists()
    assert asked == []


def test_a_process_that_was_killed_is_not_waited_for_long(asked, tmp_path, monkeypatch):
    monkeypatch.setattr(ready, "PATIENCE", 0.2)
    (tmp_path / "being compiled").touch()
    ready.compile_beside()
    assert not list(tmp_path.iterdir())
