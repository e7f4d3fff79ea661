"""Every fault a package can have: its stable code, one plain sentence, and what to do.

The codes are kept stable because instructions and other programs refer to them. What was found
and what was expected in the case at hand stands in `faults.Fault`; here is only what is true of
every such case. The reader is a clerk with a spreadsheet, not a programmer.
"""

from __future__ import annotations

from enum import StrEnum


class Code(StrEnum):
    """A fault code; `sentence` says what is wrong, `what_to_do` what puts it right."""

    sentence: str
    what_to_do: str

    def __new__(cls, code: str, sentence: str, what_to_do: str) -> Code:
        member = str.__new__(cls, code)
        member._value_ = code
        member.sentence = sentence
        member.what_to_do = what_to_do
        return member

    # The package as a whole
    PACKAGE_NOT_FOUND = (
        "package-not-found",
        "There is nothing at this place.",
        "Check the path and that the stick or disk is connected.",
    )
    NOT_A_PACKAGE = (
        "not-a-package",
        "This is neither a folder nor a zip file.",
        "Choose the folder or the .zip that the registrar handed over.",
    )
    CANNOT_BE_READ = (
        "cannot-be-read",
        "The computer could not read this.",
        "Copy it again from the source; if that fails too, use another copy.",
    )
    PACKAGE_TOO_LARGE = (
        "package-too-large",
        "The package is larger than this program reads.",
        "Check that it is the package of one precinct; ask the registrar for a new one.",
    )
    TOO_MANY_FILES = (
        "too-many-files",
        "There are more files here than a package can have.",
        "Choose the package itself, not a folder or zip that holds other things too.",
    )
    MISSING_FILE = (
        "missing-file",
        "A file that every package needs is not there.",
        "Add the file under exactly this name, or choose the folder that holds it.",
    )
    UNKNOWN_FILE = (
        "unknown-file",
        "The package holds a file that this program does not know.",
        "Rename it if it is one of the package's lists; otherwise take it out.",
    )
    UNEXPECTED_FOLDER = (
        "unexpected-folder",
        "The files of a package lie together, not in folders of their own.",
        "Put all files side by side, or choose the inner folder.",
    )
    FILE_TOO_LARGE = (
        "file-too-large",
        "The file is larger than this program reads.",
        "Check that it is the list of one precinct; ask the registrar for a new one.",
    )
    DUPLICATE_FILE = (
        "duplicate-file",
        "The same file name stands in the package twice.",
        "Find out which one counts and make the package again with that one alone.",
    )
    LINK_REFUSED = (
        "link-refused",
        "This is a link or a device, not a file.",
        "Put a copy of the file itself in its place.",
    )
    UNSAFE_NAME = (
        "unsafe-name",
        "The zip holds a file name that points outside the package.",
        "Do not unpack it. Ask the registrar for a new package and say what you saw here.",
    )
    NESTED_ARCHIVE = (
        "nested-archive",
        "This is a packed file or a workbook, not a plain list.",
        "Unpack it first, or save the sheet as CSV UTF-8, then make the package again.",
    )
    ZIP_DAMAGED = (
        "zip-damaged",
        "The zip file is damaged or was cut short.",
        "Copy it again from the source; if that fails too, ask for a new one.",
    )
    ZIP_ENCRYPTED = (
        "zip-encrypted",
        "The file inside the zip is locked with a password.",
        "Unpack it with the password and choose the folder instead.",
    )
    ZIP_METHOD = (
        "zip-method",
        "The file was packed in a way that this program does not read.",
        "Pack it again as an ordinary zip, or choose the unpacked folder.",
    )
    ZIP_SWELLS = (
        "zip-swells",
        "The file grows far more on unpacking than a list of people does.",
        "Do not unpack it. Ask the registrar for a new package and say what you saw here.",
    )
    MORE_FAULTS = (
        "more-faults",
        "There are more faults than are listed here.",
        "Put the listed ones right first, then read the package again.",
    )

    # A file as text
    FILE_EMPTY = (
        "file-empty",
        "The file is empty.",
        "Export it again; where there is nobody to list, leave the heading row or leave it out.",
    )
    NOT_UTF8 = (
        "not-utf8",
        "The file is not written in UTF-8, so accented names would come out wrong.",
        "Save it again as 'CSV UTF-8' (for election.toml: as UTF-8 text).",
    )
    NOT_TEXT = (
        "not-text",
        "The file is not text.",
        "Export the list as CSV UTF-8; renaming a file does not change what it is.",
    )

    # A file as a table
    WRONG_DELIMITER = (
        "wrong-delimiter",
        "The columns are not separated by commas.",
        "Save it again as comma-separated CSV.",
    )
    QUOTE_NOT_CLOSED = (
        "quote-not-closed",
        'A cell that begins with a quotation mark (") does not end with one.',
        "Look at this row and the next for a stray quotation mark, or export the list again.",
    )
    TOO_MANY_COLUMNS = (
        "too-many-columns",
        "The row has far more cells than a list of people.",
        "Look for a missing line break, or export the list again.",
    )
    TOO_MANY_ROWS = (
        "too-many-rows",
        "The list has more rows than this program reads.",
        "Check that it is the list of one precinct.",
    )
    CELL_TOO_LONG = (
        "cell-too-long",
        "The cell is far too long.",
        "Look for a stray quotation mark before it, and shorten the cell.",
    )
    ROW_TOO_SHORT = (
        "row-too-short",
        "The row has fewer cells than the heading row.",
        "Look for a missing comma or a row cut in half; quote cells that hold a line break.",
    )
    ROW_TOO_LONG = (
        "row-too-long",
        "The row has more cells than the heading row.",
        "Put quotation marks around the cell that holds a comma.",
    )
    BLANK_HEADER = (
        "blank-header",
        "A column has no heading.",
        "Give the column a heading, or remove the column.",
    )
    DUPLICATE_COLUMN = (
        "duplicate-column",
        "Two columns stand for the same thing.",
        "Remove one of them, or correct [columns] in election.toml.",
    )
    UNKNOWN_COLUMN = (
        "unknown-column",
        "The heading is not one that this list can have.",
        "Correct the heading, name it under [columns] in election.toml, or remove the column.",
    )
    MISSING_COLUMN = (
        "missing-column",
        "A column that this list needs is not there.",
        "Add the column, or name its heading under [columns] in election.toml.",
    )
    NO_ROWS = (
        "no-rows",
        "The register has a heading row and nobody in it.",
        "Export the register again.",
    )

    # A cell as text
    CONTROL_CHARACTER = (
        "control-character",
        "The cell holds a character that is not text.",
        "Type the cell again.",
    )
    DIRECTION_CHARACTER = (
        "direction-character",
        "The cell holds a hidden character that makes text run backwards.",
        "Type the cell again; do not trust how it looks on the screen.",
    )
    INVISIBLE_CHARACTER = (
        "invisible-character",
        "The cell holds a character that cannot be seen.",
        "Type the cell again.",
    )
    LOST_CHARACTER = (
        "lost-character",
        "A letter was lost in an earlier conversion.",
        "Look up the name in the registration and type it again.",
    )
    GARBLED_TEXT = (
        "garbled-text",
        "Accented letters were garbled in an earlier conversion.",
        "Export the list again from the source as CSV UTF-8.",
    )
    MIXED_ALPHABETS = (
        "mixed-alphabets",
        "One word mixes letters of two alphabets that look alike.",
        "Type the word again in one alphabet.",
    )
    CELL_BLANK = (
        "cell-blank",
        "The cell must not be blank.",
        "Fill it in from the registration.",
    )

    # The register
    VOTER_NUMBER_SHAPE = (
        "voter-number-shape",
        "This does not look like a voter number.",
        "Copy the number from the registration; set the column to text in the spreadsheet first.",
    )
    DUPLICATE_VOTER_NUMBER = (
        "duplicate-voter-number",
        "Two lines carry the same voter number.",
        "Find out whose number it is; correct the other line or remove it.",
    )
    NAME_UNLIKELY = (
        "name-unlikely",
        "This cannot be a name.",
        "Look whether the columns have slipped; type the name from the registration.",
    )
    BIRTH_DATE_UNREADABLE = (
        "birth-date-unreadable",
        "The birth date is not written year-month-day.",
        "Set the column to the form 1987-03-04 and export the list again.",
    )
    BIRTH_DATE_IMPOSSIBLE = (
        "birth-date-impossible",
        "There is no such day.",
        "Look up the birth date in the registration.",
    )
    BIRTH_DATE_IN_FUTURE = (
        "birth-date-in-future",
        "The birth date lies after election day.",
        "Look up the birth date in the registration.",
    )
    BIRTH_DATE_TOO_EARLY = (
        "birth-date-too-early",
        "Nobody born then can still be living.",
        "Look up the birth date in the registration.",
    )
    UNKNOWN_BUTTON = (
        "unknown-button",
        "No ballot in election.toml has this button.",
        "Correct the button, or add the ballot to election.toml.",
    )
    BUTTON_MISSING = (
        "button-missing",
        "The precinct has several ballots, and this line does not say which one.",
        "Fill in the ballot button.",
    )
    YES_OR_BLANK = (
        "yes-or-blank",
        "The cell may hold Y or nothing.",
        "Write Y, or clear the cell.",
    )
    UNKNOWN_MARK = (
        "unknown-mark",
        "The mark is not one that a line can carry.",
        "Write 'voted by mail' or 'voted early', or clear the cell.",
    )
    INITIALS_TOO_LONG = (
        "initials-too-long",
        "These are not initials.",
        "Write the initials of the person who marked the line, or clear the cell.",
    )
    INITIALS_WITHOUT_MARK = (
        "initials-without-mark",
        "There are initials beside a mark, and no mark.",
        "Fill in the mark, or clear the initials.",
    )
    WRONG_ELECTION = (
        "wrong-election",
        "This belongs to another election.",
        "Check that the file and election.toml come from the same package.",
    )
    WRONG_PRECINCT = (
        "wrong-precinct",
        "This belongs to another precinct.",
        "Check that the file and election.toml come from the same package.",
    )

    # Lists of people who have voted
    NOT_IN_REGISTER = (
        "not-in-register",
        "This number stands neither in the register nor in the supplemental list.",
        "Compare the number with the register; ask the registrar where the person is registered.",
    )
    LISTED_TWICE = (
        "listed-twice",
        "The same number stands twice in this list.",
        "Find out whether one of the two is somebody else's number; remove the other.",
    )
    NAME_DIFFERS = (
        "name-differs",
        "The name is not the one that the register has for this number.",
        "Find out whether the number or the name is wrong before anybody's line is marked.",
    )
    BIRTH_DATE_DIFFERS = (
        "birth-date-differs",
        "The birth date is not the one that the register has for this number.",
        "Find out whether the number or the date is wrong before anybody's line is marked.",
    )

    # Late lists
    NO_HEADING_ROW = (
        "no-heading-row",
        "No row says what the columns are.",
        "Write a row above the people: Voter number, Last name, First name, Birth date.",
    )
    ENCODING_UNKNOWN = (
        "encoding-unknown",
        "The file is written in a way that this program cannot tell for certain.",
        "Save it again as 'CSV UTF-8' or as a workbook (.xlsx).",
    )
    WORKBOOK_DAMAGED = (
        "workbook-damaged",
        "The workbook is damaged, or saved in a way that this program does not read.",
        "Open it in the spreadsheet program and save it again as .xlsx or 'CSV UTF-8'.",
    )
    WORKBOOK_LOCKED = (
        "workbook-locked",
        "The workbook is locked with a password.",
        "Save it again without the password, or as 'CSV UTF-8'.",
    )
    WORKBOOK_OLD = (
        "workbook-old",
        "This is an old kind of workbook.",
        "Save it again as .xlsx or 'CSV UTF-8'.",
    )
    WORKBOOK_SWELLS = (
        "workbook-swells",
        "The workbook grows far more on unpacking than a list of people does.",
        "Do not open it. Ask the registrar for a new list and say what you saw here.",
    )
    SEVERAL_SHEETS = (
        "several-sheets",
        "More than one sheet of the workbook is filled, hidden ones included.",
        "Save a workbook that has the sheet of the list alone.",
    )
    FORMULA_CELL = (
        "formula-cell",
        "The cell holds a formula or a spreadsheet's error, not a value.",
        "Copy the column and paste it as values, then save the list again.",
    )
    NAME_ORDER_UNKNOWN = (
        "name-order-unknown",
        "Nothing says which part of the name is the last name.",
        "Write the last name first and a comma after it, or give it a column of its own.",
    )

    # People registered elsewhere
    BIRTH_YEAR_UNREADABLE = (
        "birth-year-unreadable",
        "The birth year is not a year of four digits.",
        "Write the year alone, such as 1987: this list must not hold whole birth dates.",
    )
    BIRTH_YEAR_UNLIKELY = (
        "birth-year-unlikely",
        "Nobody born in that year can be registered.",
        "Look up the birth year in the registration.",
    )
    OWN_PRECINCT = (
        "own-precinct",
        "This list is of people registered elsewhere, and here it names this very precinct.",
        "Take these rows out; who is missing from the register belongs on the supplemental list.",
    )

    # election.toml and MANIFEST.json
    TOML_UNREADABLE = (
        "toml-unreadable",
        "The file breaks the rules of TOML, so none of it could be read.",
        "Correct the place named, or start again from the registrar's template.",
    )
    MANIFEST_UNREADABLE = (
        "manifest-unreadable",
        "The manifest cannot be read, so nothing vouches for the files.",
        "Ask the registrar for a new package.",
    )
    MISSING_KEY = (
        "missing-key",
        "A setting that every package needs is not there.",
        "Add it.",
    )
    UNKNOWN_KEY = (
        "unknown-key",
        "There is no such setting.",
        "Correct its spelling or the section it stands in, or remove it.",
    )
    WRONG_KIND = (
        "wrong-kind",
        "The setting is written as the wrong kind of thing.",
        "Write it in the form shown.",
    )
    VALUE_NOT_ALLOWED = (
        "value-not-allowed",
        "The setting cannot have this value.",
        "Write one that is allowed.",
    )
    VALUE_TWICE = (
        "value-twice",
        "The same value stands twice where each must be its own.",
        "Correct one of the two.",
    )
    FEDERAL_NEEDS_PROVISIONAL = (
        "federal-needs-provisional",
        "A federal election has provisional ballots unless the state is exempt (52 U.S.C. 21082).",
        "Write federal_only or always; in an exempt state, add provisional_exempt = true.",
    )
    PHONE_SECRET_MISSING = (
        "phone-secret-missing",
        "The policy requires a spoken code, and the package has no secret to prove one.",
        "Ask the registrar for the secret of this precinct, or let the code be optional.",
    )
    PHONE_SECRET_UNREADABLE = (
        "phone-secret-unreadable",
        "The secret for spoken codes is not written as one.",
        "Ask the registrar for the file again. Do not send it on.",
    )
    DIGEST_DIFFERS = (
        "digest-differs",
        "The file is not the one that the registrar put into the package.",
        "Do not use it. Copy the package again; if that fails too, call the registrar.",
    )
    LISTED_FILE_MISSING = (
        "listed-file-missing",
        "The manifest names a file that is not in the package.",
        "Copy the package again; if that fails too, call the registrar.",
    )
    FILE_NOT_LISTED = (
        "file-not-listed",
        "The manifest does not vouch for this file.",
        "Take the file out if it was added since; otherwise ask the registrar for a new package.",
    )
