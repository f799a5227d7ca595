"""
A log and its fit become one page that someone else can act on.

`write` makes the page (and, if wanted, the same as a PDF and as an executed notebook); `page` holds what the findings
notebook shows, part by part; `answer` tells an answer in words; `template` is the notebook and the look of the page.
"""

from inlaylab.findings.write import LEAVE_OUT, write

__all__ = ["LEAVE_OUT", "write"]
