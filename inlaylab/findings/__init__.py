"""
A log and its fit become one page that someone else can act on.

`write` makes the page (and, if wanted, the same as a PDF and as an executed notebook); `contents` says what stands
on it in which order; `page` makes each part; `settings_sheet` is the half page for the machine; `left_out` takes out
what the maker does not share; `template` is the look. What a page carries is written and read by `log.tables.page`.
"""

from inlaylab.findings.left_out import LEAVE_OUT
from inlaylab.findings.write import write

__all__ = ["LEAVE_OUT", "write"]
