"""The week: chains of work with waits between them, laid out for one pair of hands.

``sequences`` reads the trade's work chains, ``chain`` makes the job's own steps of them, ``net`` puts
them on a grid of quarter hours with what each waits for, ``first`` finds a good plan quickly, ``solve``
proves how good it is, ``week`` gives the plan; ``moves``, ``whatif``, ``outlook`` and ``needs`` answer
questions about it.
"""
