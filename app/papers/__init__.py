"""What is printed for a voter to take along, as PDF: facts in, bytes out.

    slips      direction_slip, provisional_slip: what stands on each
    words      every sentence of theirs, in English and Spanish
    page       half a letter page in large type, and how it is filled
    lettering  the font, and what is done where it lacks a letter
    fonts/     the font and its licence

The same facts give the same bytes: no clock is read. Imports `app.rules` only; `app.desk` and
above may import this package. Nothing here writes to disk, and no slip carries a birth date or
a home address.
"""
