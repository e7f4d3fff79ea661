"""What is handed on as data: facts in, bytes out. Reads nothing, writes nothing, knows no clock."""
