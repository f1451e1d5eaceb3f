"""Work on the photo laid flat: two brushes, a stretch of the edge, what is in doubt, marks on the leather.

Terms. *Flat picture*: the photo seen straight from above, with a place on the floor for every pixel. *Window*: the
part of it that is worked on, coarse enough to be quick. *Stroke*: what a brush painted. All places are floor mm.
"""
