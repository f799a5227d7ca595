"""What the command line says, one file a family of commands, named as the files that speak."""
