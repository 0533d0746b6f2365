"""From the appointment book and the past to the week's order list."""
