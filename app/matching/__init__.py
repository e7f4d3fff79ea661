"""Find a person's line from what was typed, said or scanned.

Read in this order: `parse` and `scan` (what was typed or scanned), `likeness` and `slips`
(which names it is like), `candidates` and `pointing` (which lines are worth scoring),
`interpret` (what it may mean, line by line), `scoring` (the best way to read it), `page`
(what each line scores), `reasons`, `sureness` and `settling` (why a line came up, how sure
that is, what more to ask), and `finder`, which joins them and is the only door for the rest
of the program, beside `dates.read_birth_date`, `licence.read_licence` and `look_alikes`.

What is searched is a `register`, put together in one pass by `gathering` and kept in a file
by `saved`. Arrays in, ranked lines out: no files, no clock, no database, no word about
whether a person may sign.
"""
