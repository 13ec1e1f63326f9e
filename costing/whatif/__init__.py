"""What changes when a figure changes: prices of another day, ``--if``, tornado, tables, the chance to meet a target."""
