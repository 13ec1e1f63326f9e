"""Ways of selling: what each leaves, and how much must be sold. One matter, one module, all of them pure functions.

Words, as they are meant here:

- *Margin* of anybody is what is left of the selling price: price − what it cost, as money or as a share of the price.
- *Markup* is the same money as a share of the cost. A margin of 35 % is a markup of 35 / 65 = 53.8 %.
- *Contribution* is price − every cost that comes with one more container. Wages by the minute, packaging, ingredients
  and overhead by batch and by labour come with it; a day at a market and the fixed costs of a month do not.
- *Break-even* is the volume whose margin pays the fixed costs of a month.

These are the usual definitions of cost-volume-profit analysis in managerial accounting and of retail arithmetic (any
textbook of either, from memory). Sales tax and deposits stand outside every price.
"""
