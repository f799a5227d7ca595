"""Notebook 8: how the kit reckons, with the section, the bend and the chance turned by hand."""
