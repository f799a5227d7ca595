"""An artwork planned: its drawing, what can be turned, the answer at once, and the sheets for the shop."""
