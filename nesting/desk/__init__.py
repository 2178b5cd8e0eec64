"""The desk: a page on this machine alone, for those who do not use a terminal; the same plans, drawn for a screen."""
