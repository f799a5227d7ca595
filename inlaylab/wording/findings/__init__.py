"""What a findings page says, and the sheet for the machine on it."""
