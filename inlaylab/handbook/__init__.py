"""Published values of woods, gluing and safety, each with its unit and source."""
