"""Heat in the dye: temperature, index, the sound that carries it, and the wait until it has settled."""
