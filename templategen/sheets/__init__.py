"""Paper, packing, tiling, marks and bars: parts in, pages out."""
