"""Flow of dye and coolant: pipes and the renewal of the fill."""
