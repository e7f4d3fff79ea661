"""The tasks of the table, one module each: find, sign, do the first steps, take the day's turns.

A task reads the record, asks the rules and writes through the one writer. Here:
what happens in which order. Not here: HTTP, tables, how a name is matched.
Imported by `app.api`, `app.cli` and `app.server`.
"""
