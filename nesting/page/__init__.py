"""The local page: trace a hide, plan its cutting, look at the answer, all in a browser on this machine.

Terms. *Folder*: the one directory the page reads and writes. *Draft*: what a browser tab works on, saved after
every change. *Run*: one search for a layout, carried out by a process of its own. *Door*: the rules about who may
talk to the page.
"""
