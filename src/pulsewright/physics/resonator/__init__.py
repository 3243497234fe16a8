"""The resonator: stability and modes of two mirrors, losses, diffraction at edges, unstable kinds, a lens inside."""
