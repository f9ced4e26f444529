"""The few numbers that turn what people say into SI, and back."""

ZERO_C_K = 273.15
HOUR_S = 3600.0
AH_C = 3600.0
"""Coulombs of an ampere-hour."""
WH_J = 3600.0
"""Joules of a watt-hour."""
KM_H = 1 / 3.6
"""Metres a second of a kilometre an hour."""
