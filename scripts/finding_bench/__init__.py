"""How well and how fast people are found: invented registers, slips, engines, measures.

Read in this order: `people` (the register), `drafts` and `queries` (what a clerk types),
`oracle` (which lines that may mean), `engines` (who answers), `measures` and `report`.
Of the program only the door of `app.matching` is used. Started by `scripts/bench_matching.py`.
"""
