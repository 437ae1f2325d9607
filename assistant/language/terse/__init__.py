"""Reports in short, without a predicate: "locker front green, first coat", "fourteen galley, twelve forepeak".

The clause reader needs a verb, or a frame that goes without one. A tired hand drops the verb and the prepositions too;
what is left are things of the job and figures. Here a stretch is cut into those, and the kinds of what stands there say
what was done. Every word must play a part: with one that is not understood nothing is read.
"""
