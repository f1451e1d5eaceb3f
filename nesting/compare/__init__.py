"""One product in several leathers: what each yields, costs and weighs.

Terms. *Landed cost*: price and freight of a hide. *Marked area*: what the supplier wrote on a hide and is paid for;
*measured area*: what is there; `discrepancy` is measured over marked. *Share that ends up in products*: leather in
pieces over measured leather. *Pro rata*: a hide's cost shared among the products cut from it, as if the rest of it were
used another day. *Bought whole*: a batch carries every hide it opens. *Used*: the leather in the pieces alone, waste
not counted.
"""
