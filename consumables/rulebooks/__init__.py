"""The rule books as data, one file for each body."""
