"""The air of the room: clearing, cleanliness, solvent vapour, oxygen and carbon dioxide."""
