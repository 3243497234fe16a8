"""Studies over the shot chain: one composed shot, its interval, the envelope, the threshold."""
