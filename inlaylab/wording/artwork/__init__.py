"""What notebook 5 and its sheets say of an artwork."""
