"""What holds a plug up, in words."""

#: What each contact is called when it holds the plug up.
HELD_BY = {
    "wall": "the plug's walls touch the pocket's walls",
    "floor": "the plug's nose stands on the pocket's floor",
    "nose": "the plug's nose stands in a stroke too thin for a floor",
    "crest": "the crest of a thin stroke stands on the pocket's bottom",
    "backer": "the backer lies on the host's face",
    "land": "a thin land of the host reaches the ground around the plug",
}
