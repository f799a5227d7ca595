"""What notebook 3 says, and what it says of pictures of a coupon's face."""

from __future__ import annotations

from typing import TYPE_CHECKING

from inlaylab.wording.lengths import count, fine, length

if TYPE_CHECKING:
    from inlaylab.pictures.records import StationReading
    from inlaylab.services.picture_readings import Agreement

FILLS = {"filled": "filled", "partly": "partly filled", "missing": "missing"}
COPY_KEPT = "A small copy, without the camera's data, is kept beside the log once the cut is saved."
OR_CLICK = "or click on the picture"
LOOK_AGAIN = "Look in the folder again"
READ_HINT = "reading saves nothing"
TAKE_HINT = "types it into the form"
TAKE_ALL = "Use all that are left"
TAKE_ALL_HINT = "types them into the form, to look over"
KEEP_COPY = "Keep a small copy"
KEEP_COPY_HINT = "beside the log, without the camera's data"
FROM_PICTURE = "read the stations from a scan or photo"
NO_PROFILE = "No profile was read at this station."
CHOOSE_COUPON = "choose the coupon first: a picture is read by its drawing"
NO_LAYOUT = "the log has no drawing of this coupon"
A_LAYOUT = "a coupon drawn in notebook 2, with dots"
NO_SUCH_STATION = "the coupon that is chosen now has no such station"
NO_PICTURE = "no picture was read yet"
NO_PROPOSAL = "there is no proposal for this station"
CHOOSE_PICTURE = "choose a picture first"
A_PICTURE = "a PNG, JPEG or TIFF beside the log, or an upload"
LIMIT = "smallest gap you can see"
NAME = "name of the cut"
MARKS = "a length, c (closed), f, p or m (filled, partly, missing), or a length and one of f, p, m"
READINGS = "readings at the stations"
NO_STATIONS = "Choose a coupon above, and a line for each of its stations appears here."
HOW_TO_TYPE = (
    "One line for each station; Enter goes on to the next. Type the glue line as a length, c where it is closed, f / "
    "p / m where the stroke is filled, partly filled or missing; both as “0.12 p”. On a wedge: the finished width "
    "where filling stops. Blank means not read."
)
BLANK_HABIT = "blank: your shop's usual"
BLANK_ANGLE = "blank: the bit's nominal angle"
BLANK_SPACING = "blank: cleared with an end mill"
METRES = "metres, to follow the bit's wear"
BY = "your name, if shared"
PHOTO = "as photos/k1.jpg"
LIMIT_HINT = "with your loupe"
MORE = "more settings of the cut"
BEFORE = "Before the backer is cut off (all may stay blank)"
FACE = "On the finished face"
CLEARED = "The form is empty again; the log is unchanged."
CORRECT_HINT = "types the cut back into the form above"
DELETE_HINT = "undo brings it back"
CUTS = "Cuts in the log"
CUTS_TABLE = "Cuts in the log, newest first"
DEPTHS = "Depths, as programmed"
WHAT = "What was cut"
SAVE_CORRECTION = "Save the correction"
SAVE = "Save this cut"

USE = "Use this one"
LEAVE_OUT = "Leave it out"
OR_UPLOAD = "or upload one"
READ = "Read the picture"
POCKET_MEASURED = "pocket, measured"
PLUG_MEASURED = "plug, measured"
FLOOR_GAP = "floor gap (sawn)"
BEING_CORRECTED = "cut being corrected"
TYPED_BY = "typed by"
PATH_CUT = "path cut"
NO_OFFSET = "blank: not grown"
CORRECT = "Correct it"
DELETE = "Delete it"
SAVED_CUT = "saved cut"

NOT_COMPLETE = "the record is not whole"
NAME_TAKEN = "there is a cut of this name already"
NEW_NAME = "a new name"
NOT_BELOW_ZERO = "not below zero"
NOT_BOTH = "closed or a length, not both"
M_ALONE = "a missing stroke has no glue line: m alone"
FIRST_LIMIT = "first say below which width the eye sees nothing"
ONE_MARK = "one mark of a kind"
ONLY_WEDGE = "on a wedge only the finished width at which filling stops"


def picture_proposal(one: StationReading, unit: str) -> str:
    """
    Say what a picture shows at a station.

    Parameters
    ----------
    one : StationReading
        What was read.
    unit : str
        The reader's unit.

    Returns
    -------
    said : str
        One line.
    """
    said = []
    if one.glue_line is not None and one.sd is not None:
        said.append(f"glue line {fine(one.glue_line, unit)}, give or take {fine(one.sd, unit)}")
    if one.fill is not None:
        said.append(FILLS[one.fill])
    if one.wedge_stop is not None:
        said.append(f"filling stops at {length(one.wedge_stop, unit)}")
    if one.why:
        said.append(one.why if said else f"not read: {one.why}")
    return "; ".join(said)


def picture_how(found: Agreement) -> str:
    """
    Say how to take a good picture, and how far pictures were tried.

    Parameters
    ----------
    found : Agreement
        From stations read both ways.

    Returns
    -------
    said : str
        That only rendered pictures were tried is left out once the maker's own loupe readings say more.
    """
    said = (
        "Scan the finished face at 600 dpi, or hold the phone straight above and fill the frame. Lay the coupon on a "
        "plain sheet of another colour, with some of the sheet showing all round."
    )
    if found.pairs and not found.more:
        return said
    return said + " Tried on rendered pictures only, so check the first ones with a loupe."


def picture_agreement(found: Agreement, unit: str) -> str:
    """
    Say how well pictures and loupe agreed here, and how many more loupe readings are worth it.

    Parameters
    ----------
    found : Agreement
        From stations read both ways.
    unit : str
        The reader's unit.

    Returns
    -------
    said : str
        One or two sentences.
    """
    if not found.pairs:
        return (
            "No line here was read both ways yet. Please read two lines with the loupe too, one tight and one open: "
            "that shows how far pictures can be trusted in your shop."
        )
    way = "wider" if found.bias > 0 else "tighter"
    off = f"pictures read {fine(abs(found.bias), unit)} {way} than the loupe, give or take {fine(found.bias_sd, unit)}"
    if found.learnt:
        said = (
            f"{count(found.pairs, 'line')} read both ways: {off}. The answers allow for that, and count what a picture "
            f'states as its "give or take" {found.factor:.1f} times.'
        )
    else:
        said = f"On {count(found.pairs, 'line')} read both ways, {off} on average."
    if found.more:
        return said + f" {count(found.more, 'more line')} read both ways would be worth it."
    return said + " Reading more lines both ways would change little."


def typed_stays(station: str) -> str:
    """Say that what was typed goes before what a picture says."""
    return f"{station}: what you typed stays, and the picture's reading is kept beside it."


def proposal_taken(station: str, one: StationReading, unit: str) -> str:
    """Say what was taken from a picture into the form."""
    return f"{station} is in the form now: {picture_proposal(one, unit)}."


def all_taken(stations: int) -> str:
    """Say that every proposal that was left is in the form."""
    are = "is" if stations == 1 else "are"
    return f"{count(stations, 'station')} {are} in the form now. Look them over, then save the cut."


def left_out(station: str) -> str:
    """Say that a proposal is not used."""
    return f"{station} is left out."


def pictures_found(pictures: int, folder: str) -> str:
    """Say how many pictures lie beside the log."""
    return f"{count(pictures, 'picture')} in {folder}."


def deleted(cut: str) -> str:
    """Say that a cut was taken out of the log."""
    return f"Deleted {cut}. Undo brings it back."


def back_in_form(cut: str) -> str:
    """Say that a saved cut can be changed in the form."""
    return f"{cut} is in the form above again: change it there, then save."


def mode(correcting: str) -> str:
    """Give the form's heading: which cut is being corrected, or that it is a new one."""
    return f"Correcting {correcting}" if correcting else "A new test cut"


def understood(
    mm: float | None, unit: str, *, wedge: bool = False, closed_below: float | None = None, fill: str | None = None
) -> str:
    """
    Say how what was typed at a station was understood.

    Parameters
    ----------
    mm : float or None
        The glue line, or on a wedge the finished width at which filling stops. [mm]
    unit : str
        The reader's unit.
    wedge : bool
        Whether the station is a wedge.
    closed_below : float or None
        Where nothing was seen: the smallest gap that would have been. [mm]
    fill : {"filled", "partly", "missing"} or None
        How the stroke is filled.

    Returns
    -------
    words : str

    Examples
    --------
    >>> understood(0.12, "mm", fill="partly"), understood(None, "mm", closed_below=0.05)
    ('glue line 0.12 mm, partly filled', 'closed (below 0.05 mm)')
    """
    said = []
    if mm is not None:
        said.append(f"{'filling stops at' if wedge else 'glue line'} {length(mm, unit)}")
    if closed_below is not None:
        said.append(f"closed (below {length(closed_below, unit)})")
    if fill is not None:
        said.append(FILLS[fill])
    return ", ".join(said)


def kept(what: str, cut: str, readings: int) -> str:
    """Say that a cut was saved or corrected."""
    return f"{what} {cut} with {count(readings, 'reading')}."


def nothing_since(saved: str) -> str:
    """Say once more what was saved, as Save was pressed again."""
    return f"{saved} Nothing has been typed since."


def closed_at(station: str) -> str:
    """Name the button that says that a glue line is closed."""
    return f"station {station}: closed"
