"""Objects in, something to look at or print out: figures as SVG."""
