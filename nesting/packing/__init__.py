"""Whole numbers only: how rectangles come out of sheets by straight edge-to-edge cuts."""
