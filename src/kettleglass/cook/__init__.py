"""The hot pot: what the cook of a recipe will do, step by step. Boiling, loss, air, heat, and the plan."""
