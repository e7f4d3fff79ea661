"""What the law and the table say: pure functions and frozen data.

Here: the printed line and its state, the settings of an election, the policy,
the verdict. Not here: files, clocks, tables, HTTP, frameworks. Everything may
import this package; it imports nothing of ours.
"""
