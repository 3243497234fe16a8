"""Drawing: one scene record for schematics and plots, an SVG writer, and the plots of a shot and an envelope."""
