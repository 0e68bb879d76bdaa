"""Arcs, outlines and solids of revolution: numbers only."""
