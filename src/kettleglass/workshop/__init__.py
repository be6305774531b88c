"""What is kept: saved recipes, their history, and the verbs that every door calls."""
