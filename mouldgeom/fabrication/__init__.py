"""What making it takes: welds, steps of building, quantities, stock lists, substitutes, rates, cost."""
