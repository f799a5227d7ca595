"""What notebook 6 says, one file for each half of its questions."""
