"""From layouts to hands: the order of cuts at the trimmer."""
