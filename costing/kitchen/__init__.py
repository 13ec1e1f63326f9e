"""The pot, and one module for each kind of step: mass and money through a kitchen."""
