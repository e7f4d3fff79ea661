"""Read what the registrar hands a precinct: files in, checked rows or a list of faults out.

    package      read_package: a folder or zip -> Package | Faults; starts everything below
    sources      a folder -> bytes by file name      zips         the same from a zip
    shelf        the files a package may have, and their limits
    text         bytes -> text                       cells        what may stand in one cell
    csv_records  text -> records                     table        records -> checked rows
    toml_keys    one table of election.toml, key by key
    election     election.toml -> Setting            manifest     MANIFEST.json against the files
    row_checks   what rows of all lists share
    register     register and supplemental list      lists        mail-voted, early-voted
    elsewhere    people of the county's other precincts
    faults       Fault, Faults, the list they collect in
    fault_codes  every code with its plain sentence and what to do

Not here: the database, the day log, anything that writes. Imports `app.rules` only; `app.desk`
and above may import this package. Nothing a file contains raises: it is read or it is a fault.
"""
