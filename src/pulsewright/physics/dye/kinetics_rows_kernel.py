"""Rows of the tables that the kernels of the gain share. Compiled in, so they are hashed with the kernels."""

from __future__ import annotations

# rows of the spectral coefficient table, each [1/s] at full dye density; output and filling are shares, the source
# photons that enter per molecule and second
EMISSION, ABSORPTION, EXCITED, TRIPLET, DECAY, SEED, OUTPUT, FILLING, SOURCE = range(9)
# rows of the table that a field makes of it
PAIR, GROUND, GAIN_S1, GAIN_T1, FEED, LOSS, LEAVING, ESCAPING, ENTERING = range(9)
# rows of the zones: overlap of the field, share of the molecules, plane of the table of amplified spontaneous emission
OVERLAP, SHARE, PLANE = range(3)
# rows that `factorise` leaves for `solve`
INVERSE, PAIR_IN, GROUND_IN, OUT_S1, OUT_T1 = range(5)
# scalar rates [1/s]; then the number of bins of the resonator, all seed, and all photons that enter
RATE_S1, RATE_TRIPLET_FORMATION, RATE_TRIPLET, RATE_RADIATIVE, RATE_CROSSING, RATE_OXYGEN, LASING, SEEDS, ENTERS = (
    range(9)
)
