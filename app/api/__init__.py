"""HTTP: routes, what they take and answer, sign-on, problems.

Imported by `app.server` alone.
"""
