"""Sheet planning for paper crafters.

Designs become pieces, pieces and paper become layouts, layouts become an order of cuts, and all of it
becomes a price and a packet to hang beside the trimmer.
"""
