"""The pump chamber: how the lamps' light is shared between dye, lamps, walls and openings."""
