"""What to do where the work does not fit: the largest part that does, and changes, each tried, that make all fit."""
