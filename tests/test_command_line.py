"""The command line: over the whole registry, and what it promises about standard output, exit status and speed."""

import argparse
import json
import re
import subprocess
import sys

import numpy as np
import pytest

from inlaylab import command_line
from inlaylab.command_line import COMMANDS, main, parser, read
from inlaylab.commands.command import Answer, Command
from inlaylab.errors import InputError

HEAVY = ("jax", "numpyro", "matplotlib", "ipywidgets", "shapely", "ezdxf", "pandas", "scipy", "nbconvert")
PROMISED = {"import", "export", "check", "fit", "predict", "advise", "next-cut", "virtual-cut", "coupon", "findings",
            "notebooks"}  # fmt: skip


@pytest.fixture
def answering(monkeypatch):
    """Put a command of the test's own into the registry."""

    def put(run):
        command = Command(name="try-out", help="try", add_arguments=lambda each: None, run=run)
        monkeypatch.setitem(command_line.COMMANDS, "try-out", command)

    return put


def test_every_promised_command_is_there():
    assert set(COMMANDS) >= PROMISED


@pytest.mark.parametrize("name", COMMANDS)
def test_every_command_has_a_help_that_tells_its_options(name, capsys):
    with pytest.raises(SystemExit) as left:
        main([name, "--help"])
    shown = capsys.readouterr()
    assert left.value.code == 0 and shown.err == ""
    assert "--json" in shown.out and "examples:" in shown.out
    assert COMMANDS[name].help.split()[0] in shown.out.lower()


@pytest.mark.parametrize("line", [line for command in COMMANDS.values() for line in command.examples])
def test_every_example_can_be_typed(line):
    arguments = read(line.split())
    assert arguments.command == line.split()[0]


@pytest.mark.parametrize("name", COMMANDS)
def test_every_command_stands_in_the_readme(name, root):
    assert f"| `{name}" in (root / "README.md").read_text(encoding="utf-8")


@pytest.mark.parametrize("name", sorted(COMMANDS))
def test_a_command_without_its_arguments_is_refused_in_one_line(name, capsys):
    needed = [line for line in COMMANDS[name].examples]
    if name in needed:  # an example shows that it may stand alone
        return
    with pytest.raises(SystemExit) as left:
        main([name])
    shown = capsys.readouterr()
    assert left.value.code == 2 and shown.out == ""
    assert shown.err.count("\n") == 1 and shown.err.startswith(f"inlaylab {name}: ")


def test_help_loads_nothing_heavy():
    code = (
        "import sys; from inlaylab.command_line import parser; parser().format_help();"
        f"print([name for name in {HEAVY!r} if name in sys.modules])"
    )
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    assert done.stdout.strip() == "[]"


def test_the_package_runs_as_a_module(inlaylab):
    done = inlaylab("--version")
    assert done.returncode == 0 and re.fullmatch(r"inlaylab \d+\.\d+\.\d+\n", done.stdout) and done.stderr == ""


@pytest.mark.parametrize(
    "words, said",
    [
        ([], "COMMAND"),
        (["polish"], "invalid choice"),
        (["import", "only-a-log"], "required"),
        (["fit", "log", "--seed", "minus one"], "not a seed"),
        (["fit", "log", "--seed", "-1"], "seed"),
        (["fit", "log", "--sed", "1"], "does not know"),
    ],
)
def test_wrong_words_are_refused_with_status_2(words, said, capsys):
    with pytest.raises(SystemExit) as left:
        main(words)
    shown = capsys.readouterr()
    assert left.value.code == 2 and shown.out == "" and said in shown.err and shown.err.count("\n") == 1


@pytest.mark.parametrize("text", ["0.1", "4", "1,5", "1e-1"])
def test_a_bare_number_is_refused_with_a_hint(text, capsys):
    with pytest.raises(SystemExit) as left:
        main(["advise", "log", "--bit", "b", "--pair", "p", "--strokes", "s.csv", "--within", text])
    shown = capsys.readouterr()
    assert left.value.code == 2 and "has no unit" in shown.err and f"{text}mm" in shown.err


@pytest.mark.parametrize(
    "text, said", [("nanmm", "not a length"), ("1,500mm", "two ways"), ("0mm", "not above zero"), ("-1mm", "not above")]
)
def test_a_length_that_cannot_be_is_refused(text, said, capsys):
    with pytest.raises(SystemExit) as left:
        main(["advise", "log", "--bit", "b", "--pair", "p", "--strokes", "s.csv", f"--within={text}"])
    shown = capsys.readouterr()
    assert left.value.code == 2 and said in shown.err


@pytest.mark.parametrize("text, value", [("0.1mm", 0.1), ("0.1in", 2.54), ("4thou", 0.1016), ("3/32in", 2.38125)])
def test_lengths_carry_their_unit(text, value):
    words = ["advise", "log", "--bit", "b", "--pair", "p", "--strokes", "s.csv", "--within", text]
    assert parser().parse_args(words).within == pytest.approx(value, abs=1e-12)


@pytest.mark.parametrize("text", ["0", "1", "90", "-0.5", "nan", "often"])
def test_a_chance_that_cannot_be_is_refused(text, capsys):
    with pytest.raises(SystemExit) as left:
        main(
            ["advise", "log", "--bit", "b", "--pair", "p", "--strokes", "s.csv", "--within", "1mm", f"--chance={text}"]
        )
    assert left.value.code == 2 and "--chance" in capsys.readouterr().err


def test_a_message_with_control_characters_stays_one_plain_line(capsys):
    with pytest.raises(SystemExit):
        main(["fit", "log", "--seed", "\x1b[31m\n1"])
    shown = capsys.readouterr().err
    assert shown.count("\n") == 1 and "\x1b" not in shown


def test_json_is_one_object_with_plain_numbers(answering, capsys):
    record = {
        "depth": np.float64(1.5),
        "lines": np.array([0.1, np.nan]),
        "n": np.int64(3),
        "none": float("inf"),
        "é": (1,),
    }
    answering(lambda arguments: Answer(record=record, text="words"))
    assert main(["try-out", "--json"]) == 0
    shown = capsys.readouterr()
    assert json.loads(shown.out) == {"depth": 1.5, "lines": [0.1, None], "n": 3, "none": None, "é": [1]}
    assert shown.out.count("\n") == 1 and shown.err == ""
    assert main(["try-out"]) == 0
    assert capsys.readouterr().out == "words\n"


def test_bad_input_is_one_sentence_and_status_2(answering, capsys):
    def refuse(arguments: argparse.Namespace):
        raise InputError("the start depth is too large", value="900 mm", where="cut k1", allowed="0 to 100 mm")

    answering(refuse)
    assert main(["try-out", "--json"]) == 2
    shown = capsys.readouterr()
    assert shown.out == ""
    expected = 'inlaylab try-out: the start depth is too large: "900 mm" at cut k1; allowed: 0 to 100 mm.\n'
    assert shown.err == expected


def test_a_fault_of_the_program_is_not_hidden(answering):
    def fail(arguments):
        raise ZeroDivisionError("a fault of ours")

    answering(fail)
    with pytest.raises(ZeroDivisionError):
        main(["try-out"])


def test_a_fault_of_the_program_ends_with_status_1():
    code = (
        "import sys; from inlaylab import command_line as c; from inlaylab.commands.command import Command;"
        "c.COMMANDS['boom'] = Command(name='boom', help='x', add_arguments=lambda p: None, run=lambda a: 1 / 0);"
        "sys.exit(c.main(['boom']))"
    )
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=False)
    assert done.returncode == 1 and "ZeroDivisionError" in done.stderr and done.stdout == ""


def test_a_missing_file_is_named(answering, capsys, tmp_path):
    answering(lambda arguments: (tmp_path / "nowhere").read_text())
    assert main(["try-out"]) == 2
    assert "nowhere" in capsys.readouterr().err


def test_ctrl_c_stops_with_a_word(answering, capsys):
    def stop(arguments):
        raise KeyboardInterrupt

    answering(stop)
    assert main(["try-out"]) == 130
    assert "stopped" in capsys.readouterr().err
