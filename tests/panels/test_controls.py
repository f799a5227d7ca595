import pytest

from inlaylab.errors import InputError
from inlaylab.panels.shared import controls, record_controls
from inlaylab.panels.shared.entries import ADD_NEW, ChoiceEntry, Entry, Form, LengthEntry


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


def test_a_new_thing_is_added_and_chosen():
    entry = ChoiceEntry("bit", options=["a"], can_add=True)
    form = Form(name=Entry("name", required=True))
    add = record_controls.AddForm(form, make=lambda f: f["name"].value, choice=entry, what="bit")
    choice = controls.Choice(entry, add=add)
    choice.box.value = ADD_NEW
    assert add.layout.display == "flex"
    add.keep.click()
    assert "Still needed: name" in add.line.text
    add.fields["name"].box.value = "new"
    add.keep.click()
    assert entry.value == "new" and choice.box.value == "new" and add.layout.display == "none"


def test_save_waits_until_the_record_is_whole():
    form = Form(name=Entry("name", required=True))
    done = []
    bar = record_controls.SaveUndo(form, save=lambda _: done.append(1), undo=lambda _: None, clear=lambda _: None)
    assert bar.save.disabled and bar.needs.text == "Still needed: name."
    form["name"].typed = "x"
    bar.save.click()
    assert not bar.save.disabled and done == [1]


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
