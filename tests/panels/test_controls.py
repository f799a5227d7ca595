import pytest

from inlaylab.bench.bits import Bit
from inlaylab.errors import InputError
from inlaylab.panels.shared import controls, record_controls
from inlaylab.panels.shared.entries import ADD_NEW, ChoiceEntry, Entry, Form
from inlaylab.panels.shared.length_entries import LengthEntry
from inlaylab.panels.shared.new_things import NewThing
from inlaylab.services.log_session import LogSession


def test_a_field_says_its_verdict_with_a_mark_and_in_words():
    field = controls.Field(LengthEntry("start depth", unit="mm", required=True))
    assert field.beside.text == "needed"
    field.box.value = "oak"
    assert "✗" in field.beside.value and 'role="alert"' in field.beside.value
    field.box.value = "2"
    assert field.beside.text == "= 2.00 mm (0.079 in)"


def test_words_are_never_markup():
    bad = "<img src=x onerror=alert(1)>"
    words, line = controls.Words(bad), controls.MessageLine()
    line.refuse(bad)
    field = controls.Field(LengthEntry("depth", unit="mm", typed=bad))
    for value in (words.value, line.value, field.beside.value, controls.table([{bad: bad}], caption=bad)):
        assert "<img" not in value and "&lt;img" in value


@pytest.mark.parametrize("error", [InputError("no such bit", value="x"), ZeroDivisionError("oops")])
def test_a_callback_that_fails_is_shown(error):
    line = controls.MessageLine()

    def fail(_):
        raise error

    assert controls.guarded(line, fail)(None) is None
    assert line.error is error and str(error) in line.text


def test_a_choice_fills_without_choosing():
    entry = ChoiceEntry("bit", options=["a"], required=True)
    choice = controls.Choice(entry)
    entry.options = ("a", "b")
    assert entry.value is None and choice.box.options[1:] == ("a", "b")
    choice.box.value = "b"
    assert entry.value == "b"
    entry.typed = "a"
    assert choice.box.value == "a"


def test_a_new_thing_is_added_and_chosen(blank_log):
    entry = ChoiceEntry("pair")
    new = NewThing("pair", entry, LogSession(blank_log))
    add = record_controls.AddForm(new)
    choice = controls.Choice(entry, add=add)
    choice.box.value = ADD_NEW
    assert add.layout.display == "flex"
    add.keep.click()
    assert "Still needed: name" in add.line.text
    for name, text in (("pair", "oak-ash"), ("host", "oak"), ("insert", "ash")):
        add.fields[name].box.value = text
    add.keep.click()
    assert entry.value == "oak-ash" and choice.box.value == "oak-ash" and add.layout.display == "none"
    choice.box.value = ADD_NEW
    add.cancel.click()
    assert entry.value is None and add.layout.display == "none"


def test_save_waits_until_the_record_is_whole(blank_log):
    form = Form(name=Entry("name", required=True))
    done = []
    history = record_controls.UndoRedo(LogSession(blank_log))
    bar = record_controls.SaveUndo(form, save=lambda _: done.append(1), history=history, clear=lambda _: None)
    assert "inlaylab-waiting" in bar.save._dom_classes and bar.needs.text == "Still needed: name."
    assert not bar.save.disabled, "the press that follows the last word typed comes before the button could wake up"
    form["name"].typed = "x"
    bar.save.click()
    assert "inlaylab-waiting" not in bar.save._dom_classes and done == [1]


def test_undo_says_what_it_will_do_and_takes_back_only_what_was_done_here(blank_log):
    here, there = LogSession(blank_log), LogSession(blank_log)
    said = []
    buttons = record_controls.UndoRedo(here, after=said.append)
    with there.write() as log:
        log.add(Bit(bit="theirs", nominal_angle_deg=60))
    assert buttons.undo.disabled and buttons.redo.layout.display == "none"
    with here.write() as log:
        log.add(Bit(bit="mine", nominal_angle_deg=90))
    buttons.look()
    assert buttons.undo.description == "Undo: added bit mine"
    buttons.undo.click()
    assert [bit.bit for bit in here.shop.bits] == ["theirs"] and said == ["Taken back: added bit mine."]
    assert buttons.undo.disabled and buttons.redo.description == "Redo: added bit mine"
    buttons.redo.click()
    assert [bit.bit for bit in here.shop.bits] == ["theirs", "mine"] and "Done again" in buttons.line.text


def test_an_answer_that_no_longer_belongs_is_marked():
    words = controls.Words("3.6 mm")
    controls.set_stale(words, True)
    controls.set_stale(words, True)
    assert "inlaylab-stale" in words._dom_classes
    controls.set_stale(words, False)
    assert "inlaylab-stale" not in words._dom_classes


def test_a_fold_opens():
    fold = controls.Fold("more", [])
    assert fold.inside.layout.display == "none"
    fold.tick.value = True
    assert fold.inside.layout.display is None


def own_widgets(root):
    from importlib import import_module

    import ipywidgets

    for path in sorted((root / "inlaylab" / "panels").rglob("*.py")):
        parts = path.relative_to(root).with_suffix("").parts
        module = import_module(".".join(parts[:-1] if parts[-1] == "__init__" else parts))
        for thing in vars(module).values():
            if isinstance(thing, type) and issubclass(thing, ipywidgets.Widget) and thing.__module__ == module.__name__:
                yield thing


def test_no_control_takes_a_name_that_its_widget_needs(root):
    classes = list(own_widgets(root))
    assert len(classes) > 8
    for each in classes:
        base = next(b for b in each.__mro__ if b.__module__.startswith("ipywidgets"))
        taken = {
            name
            for name, own in vars(each).items()
            if hasattr(base, name) and callable(own) and not name.startswith("__")
        }
        assert not taken, f"{each.__name__}: {taken}"
