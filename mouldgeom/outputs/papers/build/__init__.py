"""The build sheet: what a welder, a mason and the one who pays work from, as one PDF made from the mould itself."""
