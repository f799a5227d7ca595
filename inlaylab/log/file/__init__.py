"""The log's file: made, opened, brought up to date, copied and rescued, and its faults in words."""
