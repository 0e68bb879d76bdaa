"""The recipe inside a pack, the reading of strange PDFs, and the measuring of packs."""
