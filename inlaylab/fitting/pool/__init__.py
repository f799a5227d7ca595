"""What many shops know together: the evidence of each fit, and the starting beliefs learnt from all of them."""
