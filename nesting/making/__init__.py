"""What the making of a product takes beside its pieces: joints, fasteners, other materials, labour, prices.

Terms. *Joint*: pieces that lie on one another and are fastened through holes that fall together. *Layer*: one piece
of a joint, or a washer of a stated thickness. *Stack*: all layers of a joint pressed together. *Post*: a screw post;
its length is that of the shaft between its heads. *Spare*: what is bought above what is needed.
"""
