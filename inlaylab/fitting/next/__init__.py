"""What to measure next: the options, what each might show, and what it is worth."""
