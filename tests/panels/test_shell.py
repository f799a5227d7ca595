"""What stands around every panel: a kernel that takes all messages in one thread."""

from types import SimpleNamespace

from IPython.core import getipython

from inlaylab.panels.shared.shell import REPLY, REQUEST, keep_order


def test_a_kernel_with_a_panel_offers_no_second_thread(monkeypatch):
    sent = []
    session = SimpleNamespace(send=lambda *message: sent.append(message))
    kernel = SimpleNamespace(session=session, control_handlers={REQUEST: None, "shutdown_request": "as it was"})
    monkeypatch.setattr(getipython, "get_ipython", lambda: SimpleNamespace(kernel=kernel))
    keep_order()
    assert kernel.control_handlers["shutdown_request"] == "as it was"
    kernel.control_handlers[REQUEST]("stream", [b"browser"], {"header": {}})
    ((stream, reply, said, parent, ident),) = sent
    assert (stream, reply, parent, ident) == ("stream", REPLY, {"header": {}}, [b"browser"])
    assert said["status"] == "error" and "subshell_id" not in said


def test_without_a_kernel_or_with_an_older_one_nothing_is_changed(monkeypatch):
    keep_order()
    older = SimpleNamespace(control_handlers={})
    monkeypatch.setattr(getipython, "get_ipython", lambda: SimpleNamespace(kernel=older))
    keep_order()
    assert older.control_handlers == {}


def test_the_names_are_those_of_the_kernel_that_is_installed():
    from ipykernel.kernelbase import Kernel

    version = __import__("ipykernel").version_info[0]
    assert version < 7 or REQUEST in Kernel.control_msg_types
