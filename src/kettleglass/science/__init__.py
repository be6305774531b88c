"""Numbers and arrays in, numbers and arrays out: pure species and model parameters, no names of goods."""
