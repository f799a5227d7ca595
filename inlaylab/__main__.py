"""Lets ``python -m inlaylab`` do what the ``inlaylab`` command does."""

import sys

from inlaylab.command_line import main

sys.exit(main())
