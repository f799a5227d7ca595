"""
The commands, one file a family; ``command_line`` collects them into its registry.

Each file ends with ``COMMANDS``, a tuple of ``command.Command``. Nothing heavy is imported before a command runs.
"""
