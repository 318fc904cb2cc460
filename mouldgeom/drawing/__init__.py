"""What papers and pictures are drawn with: primitives, dimensions, hidden lines; SVG, DXF, PDF and PNG behind them."""
