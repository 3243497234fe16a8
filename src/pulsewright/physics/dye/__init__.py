"""The dye: spectra, cross-sections, quenching and the kinetics of the laser pulse."""
