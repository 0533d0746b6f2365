"""One file for each job a technician does: read, decide, write once."""
