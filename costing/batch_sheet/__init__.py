"""The batch sheet: a recipe at one size, to print and hang on the kitchen wall."""
