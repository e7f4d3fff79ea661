"""Everybody who answers queries, behind one interface (`engine`)."""
