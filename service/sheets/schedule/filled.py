"""What a crew fills in on a schedule: the columns of the two sheets, the same for writing and for reading back."""

from __future__ import annotations

PLAN = "Plan"
NUMBER = "Number"
"""The front sheet, and the row on it that has the plan's number."""

SPLICES = "Splices"
LOSSES = "Losses"
PLACE = ("Tray", "Bank", "Slot")
"""The columns that say which splice a row is; they are read back, so nothing may be typed over them."""

REMAKES = "Remakes"
AFTER_SHRINKING = "of these after shrinking"
BY = "By"
ON = "On"
NOTE = "Note"
FILLED_ON_SPLICES = (REMAKES, AFTER_SHRINKING, BY, ON, NOTE)
"""What is filled in for a splice; a row in which all of it and all its losses are empty is not told of."""

POSITION = "Fibre in the splice"
WAVELENGTH = "Wavelength nm"
FORTH = "Loss dB, from side to side"
BACK = "Loss dB, the other way"
ESTIMATED = "Loss dB, estimated by the splicer"
FILLED_ON_LOSSES = (WAVELENGTH, FORTH, BACK, ESTIMATED)
"""What is filled in for a fibre of a splice."""
