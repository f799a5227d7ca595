"""What a fit answers, in words: the start depth, what to measure next, how often it was right, when to tune again."""
