"""Which of several notebooks on one log works out its answers now, and what the others are told of it."""

from __future__ import annotations

import os
import time
from pathlib import Path

from inlaylab.services.desk import desk_of, read_note, remove_note, write_note
from inlaylab.services.jobs import Stage

#: After this long without a sign of life a claim no longer counts. [s]
DEAD_AFTER = 8.0


class Claim:
    """
    One log's update: who does it, how far it is, and whether the maker has stopped it.

    Parameters
    ----------
    log : path
        The log.

    Notes
    -----
    Two small files beside the log. ``updating.json`` is there while somebody works and is written again every half
    second; ``held.json`` names the records for which the maker stopped the work, or for which it failed. Where the
    folder cannot be written every notebook works for itself.
    """

    def __init__(self, log: str | Path):
        desk = desk_of(log)
        self.file, self.held_file = desk / "updating.json", desk / "held.json"
        self._mine = False
        self._last: dict[str, object] = {}

    def take(self, fingerprint: str) -> bool:
        """Claim the work; tell whether nobody else has it."""
        if self.others():
            return False
        remove_note(self.file)
        record = {"pid": os.getpid(), "fingerprint": fingerprint, "at": time.time()}
        try:
            self.file.parent.mkdir(exist_ok=True)
            os.close(os.open(self.file, os.O_CREAT | os.O_EXCL | os.O_WRONLY))
        except FileExistsError:
            return False
        except OSError:
            return True  # nothing can be written here: work without telling anyone
        self._mine, self._last = True, record
        write_note(self.file, record)
        return True

    def tell(self, stage: Stage) -> None:
        """Say how far the work is, and that whoever does it is alive."""
        if self._mine:
            self._last |= {
                "share": stage.share,
                "seconds_left": stage.seconds_left,
                "text": stage.text,
                "at": time.time(),
            }
            write_note(self.file, self._last)

    def give_up(self) -> None:
        """End the claim."""
        if self._mine:
            self._mine = False
            remove_note(self.file)

    def others(self) -> Stage | None:
        """Give how far another notebook is; None where none works."""
        if self._mine:
            return None
        try:
            age = time.time() - self.file.stat().st_mtime
        except OSError:
            return None
        if age > DEAD_AFTER:
            return None
        note = read_note(self.file)
        share, left, text = note.get("share"), note.get("seconds_left"), note.get("text")
        return Stage(
            state="running",
            share=float(share) if isinstance(share, (int, float)) else 0.0,
            seconds_left=float(left) if isinstance(left, (int, float)) else None,
            text=text if isinstance(text, str) else "in another notebook",
        )

    def hold(self, fingerprint: str, *, state: str, reason: str = "") -> None:
        """Say that these records are not to be worked on: stopped by the maker, or failed."""
        write_note(self.held_file, {"fingerprint": fingerprint, "state": state, "reason": reason})

    def held(self, fingerprint: str) -> Stage | None:
        """Give why these records are not to be worked on; None where they are."""
        note = read_note(self.held_file)
        if note.get("fingerprint") != fingerprint or note.get("state") not in ("stopped", "failed"):
            return None
        return Stage(state=note["state"], reason=str(note.get("reason", "")))

    def free(self) -> None:
        """Let the records be worked on again."""
        remove_note(self.held_file)
