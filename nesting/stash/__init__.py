"""The drawer: sheets and offcuts at hand, kept in one file as a ledger that is only ever added to."""
