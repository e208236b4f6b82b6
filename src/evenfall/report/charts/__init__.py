"""Beat line, stride clock and footfall bars, for screen and paper alike.

One Altair specification is the source of both; it is printed as SVG or PNG by ``vl-convert``. Every
chart is built of plain rows, so a page can show the same numbers as a table.
"""

from evenfall.report.charts.beat_line import beat_line
from evenfall.report.charts.footfall_bars import footfall_bars
from evenfall.report.charts.ground_time import feet_picture
from evenfall.report.charts.picture import as_png, as_svg, picture
from evenfall.report.charts.stride_clock import stride_clock

__all__ = ["as_png", "as_svg", "beat_line", "feet_picture", "footfall_bars", "picture", "stride_clock"]
