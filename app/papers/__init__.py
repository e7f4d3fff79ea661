"""What is printed, as PDF: facts in, bytes out.

For a voter to take along, and for the door, made with fpdf2:

    slips          direction_slip, provisional_slip: what stands on each
    ballot_button  for the machine attendant: a number, and nothing of a person
    posted_counts  the count on the door
    list_proof     the proof of a list on paper, on `ruled_pages`
    page           half a letter page in large type, and how it is filled
    words          every sentence of slips and proofs, in English and Spanish

For the table and the record, page by page as the facts come:

    register_pages   the register, with barcodes, to be signed or as it stands now
    day_lists        who was helped, envelopes, irregularities, affidavits
    affidavit_form   a blank one
    certificates     of the opening and the close, from plain facts
    register_words, day_words, made   their sentences, and what stands on top of each
    tables, sheets, blocks, tags      rows, pages, what cells hold, what is read aloud
    barcodes, face, pdf_stream        bars, the font as numbers, the file itself

And for all: `lettering`, the font and what is done where it lacks a letter; `fonts/`, the font and
its licence.

The same facts give the same bytes: no clock is read. Imports `app.rules` only; `app.desk` and
above may import this package. Nothing here writes to disk, and no slip carries a birth date or
a home address.
"""
