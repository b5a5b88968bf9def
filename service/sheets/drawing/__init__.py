"""Pictures: what is to be drawn as plain geometry, a writer that makes SVG of it, and the drawing of a plan."""
