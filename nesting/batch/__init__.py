"""Orders: which hides to cut, how, and what to buy.

Terms. *Demand*: a product wanted, in so many. *Item*: what a pattern counts: a whole product, or a single kind of
piece where the order lets a product be spread over several hides. *Group*: hides that are alike in everything that
matters for cutting. *Pattern*: what mix of items one hide of a group gives, with the checked layout that gives it.
*Master*: the choice of patterns; its linear relaxation prices the items, the search makes new patterns at these
prices (Gilmore and Gomory, 1961, "A linear programming approach to the cutting-stock problem", Operations Research
9, 849-859).
"""
