"""A service ends: what was used, what goes in the bin, what goes to the wash."""
