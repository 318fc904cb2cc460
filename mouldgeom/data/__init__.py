"""The tables, one CSV a kind: unit in the column name, source and evidence in each row."""
