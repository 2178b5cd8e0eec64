"""What to buy and where: packs, pads, shops with postage, decided together with the layouts."""
