"""What the notebooks say, one file a panel; what all of them say of the log and its fit is in `log_and_fit`."""
