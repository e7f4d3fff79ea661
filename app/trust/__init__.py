"""Keys, passphrases, certificates and what is sealed with them: facts in, bytes out.

Knows no record and no route; `records`, `desk` and whatever stands above may import it.
"""
