"""What a worked recipe looks like: figures, sentences and rows, made once and shown by the templates."""
