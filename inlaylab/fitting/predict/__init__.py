"""What cuts that are not in the log will show."""
