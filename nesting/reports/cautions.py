"""What can hurt someone at the cutting table, and how not to be hurt.

In: nothing. Out: sentences by group. They are the usual cautions for blades, trimmers, hot tools and sprays, as schools
give them to makers; a tool's own maker knows it better and is always named first.
"""

from __future__ import annotations

FIRST = "The instructions of the makers of your tools and the rules of your place come before anything said here."

SHORT = "Hands out of the blade's line. The makers' instructions come first."

CAUTIONS: tuple[tuple[str, tuple[str, ...]], ...] = (
    ("trimmer", (
        "Work with the guard fitted; keep fingers off the rail and out of the slot.",
        "Hold the sheet flat with a hand that lies out of the line of the cut.",
        "Latch a lever's blade down whenever you let go of it, and keep children away from it.",
        "A strip too narrow to hold is cut against a spacer, never with the fingers under the blade.",
    )),
    ("knife and ruler", (
        "Use a sharp blade: a blunt one slips. Cut along a metal safety ruler, on a mat larger than the work.",
        "Keep the free hand behind the blade; make several light strokes instead of one heavy one.",
        "Cap or draw in the blade each time you put the knife down.",
        "Spent blades go into a hard box that is marked as such, not into the bin.",
    )),
    ("hot tools, glue and sprays", (
        "A glue gun's nozzle and its glue are 130 to 200 °C hot: stand it on its foot on a heat-proof mat.",
        "Never touch the glue before it has cooled; unplug the tool before you leave the table.",
        "Spray adhesive only where air moves, away from flames and hot tools.",
    )),
    ("table", (
        "Good light, a clear table, and nobody at your elbow while you cut.",
        "Square the first sheet, and measure the first piece of each stop setting before you cut the stack.",
    )),
)  # fmt: skip
