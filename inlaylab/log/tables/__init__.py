"""A log as a folder of CSV tables, in and out."""
