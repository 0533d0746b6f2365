"""Files that come in from outside and go out to others."""
