"""What notebook 5 says around its answer; the answer is in `wording.artwork`."""

from __future__ import annotations

from collections.abc import Iterable

WIDTH_HINT = "of the whole picture, for a bitmap"
THIN_HINT = "blank: as the log says"
NAME_HINT = "blank: the drawing's name"
DRAW = "Draw the virtual cut"
OPEN = "Cut it open from A to B"
UPLOAD = "Upload a drawing"
FOLLOWS = "The picture and the answer above follow."
MORE = "More from the virtual cut"
OPEN_FOLD = "cut it open along a line"
LOG = "What the log says"
COST = "Wood, time and glue"
COST_FOLD = "borders, feeds and film"
DRAWINGS = "Drawings at true size"
TYPE_WIDTH = "Type the width of the whole picture, then press “Open this file”."
DRAW_FIRST = "Draw the virtual cut first."
TYPE_COST = "Type border, spacing, feed and film to see what it takes."

PICTURE_WIDTH = "width of the picture"
DXF_UNIT = "unit of the DXF"
LARGER = "depth drawn larger by"
SPACING = "spacing of passes"
FEED = "feed per minute"
FILM = "glue film"
MIRROR = "mirror line along"
OTHER_FILE = "a file in another folder"
OPEN_FILE = "Open this file"
ASK = "Ask the log"
WRITE = "Write the drawings"
OPENING = "Opening …"
ASKING = "Asking …"
COLOUR = "colour shows"
DRAWING = "The drawing"

NOT_CHOSEN = "no drawing is chosen"
ONE_OF_LIST = "one of the list"
FILE = "the drawing's file"
NAME_OR_PATH = "its name, or its path from this folder"
UNKNOWN_KIND = "this kind of drawing is not known"
NAME_TAKEN = "another file has this name here already"
OTHER_NAME = "another name"
NO_SETTING = "no such setting"
NO_DRAWING = "there is no drawing"
OPEN_FIRST = "open one first"
BORDER = "the border around the artwork"
A_LENGTH = "a length"
NO_FIT = "the answers are not up to date with the log"
FIT_FIRST = "open notebook 4, which works them out"
WHOLE_QUESTION = "bit, species pair, glue line within and chance"
ALL_FOUR = "all four"
SECTION_LINE = "the line of the section"
BOTH_ENDS = "x and y of both ends"
NO_LENGTH = "the line of the section has no length"
TWO_ENDS = "two ends that differ"


def failed(why: object) -> str:
    """Say that long work came to nothing."""
    return f"This did not work: {why}"


def wrote(names: Iterable[str], folder: object) -> str:
    """Say which files were written."""
    return f"Wrote {', '.join(names)} to {folder}."
