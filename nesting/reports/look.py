"""The look of everything that is drawn: colours, line weights, type sizes, clearances.

In: nothing. Out: constants, in points for type and lines, in inches for distances, as hex for colours. The facts of
the trade behind them: papers hang 60 cm away while both hands are full, and many are printed in grey, so every
colour has its own darkness and every meaning a second carrier (number, word, hatch or shape).
"""

from __future__ import annotations

POINT = 1 / 72  # inches

# colours, with their darkness in grey
INK = "#1A1A1A"  # 91 %
WHITE = "#FFFFFF"
BLADE = "#0B4F8A"  # 67 %: cuts, discs, stops, copies
WAY_UP = "#A8430B"  # 58 %: direction of the print, grain
KEEP_FILL = "#F6E7B4"  # 8 %
KEEP_DOTS = "#7A6420"  # 57 %
HATCH = "#6E6E6E"  # 54 %: scrap, deck edges
HEADS = "#4A4A4A"  # 69 %
BAR = "#EAEAEA"  # 7 %
RULE = "#C8C8C8"  # 22 %: rules between rows

# line weights in points
CUT_WEIGHTS = (2.8, 1.9, 1.3, 1.0, 0.8)  # by stage; later stages keep the last
SHEET_EDGE = 0.9
CARD_EDGE = 2.2
PAGE_RULE = 1.6
ROW_RULE = 0.5
HATCH_LINE = 0.6
DECK_EDGE = 0.8
LEADER = 0.8

# type in points
PAGE_TITLE = 24.0
LAYOUT_TITLE = 16.0
STOP = 20.0
LIST_LETTER = 15.0
TEXT = 12.0
BAR_TEXT = 11.5
SMALL = 10.0
FLOOR = 9.0

# distances in inches
DOT_PITCH = 0.11
HATCH_PITCH = 0.075
CLEARANCE = 0.035  # between a label and any line
DISC_RADIUS = 0.125
DISC_RING = 0.02  # white ring round a disc
DISC_OUT = 0.19  # a disc's centre outside of the sheet
GUTTER_LEFT = 0.34
GUTTER_RIGHT = 0.36
LIST_WIDTH = 3.74
LIVE_WIDTH = 7.5


def cut_weight(stage: int) -> float:
    """Weight in points of a cut line of this stage, 1 up: heavier is longer and earlier, as rivers on a map."""
    return CUT_WEIGHTS[min(stage, len(CUT_WEIGHTS)) - 1]
