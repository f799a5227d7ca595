"""Notebook 6: woods, glue, levelling, sanding, tram and time around the cut."""
