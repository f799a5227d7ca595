import threading

from inlaylab.errors import InputError, Stopped
from inlaylab.services.jobs import Job, in_words


def test_a_job_tells_how_far_it_is_from_its_first_moment():
    told = []

    def work(*, progress, stop):
        progress(0.25, None, "weighing")
        progress(0.5, 3.0, "sawing")
        return "sawn"

    job = Job(work, tell=told.append, expected=lambda: 40.0)
    assert job.start()
    job.wait(30)
    words = [in_words(stage) for stage in told]
    assert words[0] == "0%, beginning, about 40 s left"
    assert words[1].startswith("25%, weighing, about ") and words[2] == "50%, sawing, about 3 s left"
    assert told[-1].state == "done" and job.result == "sawn"


def test_a_job_stops_and_can_be_begun_again():
    began = threading.Event()

    def work(*, progress, stop):
        began.set()
        while not stop():
            pass
        raise Stopped("stopped")

    job = Job(work)
    for _ in range(2):
        began.clear()
        assert job.start() and not job.start()
        assert began.wait(30)
        job.stop()
        job.wait(30)
        assert job.stage.state == "stopped"


def test_a_failure_is_told_in_words():
    def refused(*, progress, stop):
        raise InputError("no such wood", value="stone")

    for work, words in (
        (refused, 'no such wood: "stone".'),
        (lambda **_: 1 / 0, "ZeroDivisionError: division by zero"),
    ):
        job = Job(work)
        job.start()
        job.wait(30)
        assert job.stage.state == "failed" and job.stage.reason == words
