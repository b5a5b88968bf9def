"""Traywright plans fibre splice closures: trays and slots, ports, slack, bend, sleeves, materials and crew time."""

__version__ = "0.2.0"
