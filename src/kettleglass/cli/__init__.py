"""The command line: thin doors over the same verbs as the pages."""
