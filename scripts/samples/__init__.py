"""The invented people, streets and lists of precinct 4-07, and the packages made of them.

Here: everything `scripts/make_samples.py` writes, from seeded draws and short lists
in these modules. Nobody in it is real. Not here: the reader of packages. Nothing in
`app/` may import this; tests may.
"""
