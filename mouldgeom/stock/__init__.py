"""What the steel is cut from: nests, bars, lists, welds and cost."""
