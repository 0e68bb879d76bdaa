"""What a turner owns: blank, cutters, jaws, lathe and wood, with the data tables."""
