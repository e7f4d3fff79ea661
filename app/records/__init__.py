"""What happened, kept: tables, the day log, the derived state of each line, one writer.

Here: the only code that writes. Not here: what may be written (`app.rules`,
`app.desk`). Imported by `app.desk`; imports `app.rules` alone.
"""
