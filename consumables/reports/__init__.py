"""What a technician, a lead or an inspector wants to read back."""
