"""Price lists: the packs they are written in, and what a gram or a piece costs on a day."""
