"""The shop's memory: a SQLite file, its migrations, its tables and its health."""
