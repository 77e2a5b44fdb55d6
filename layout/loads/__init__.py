"""Load cases: what the tires do in each, and from it the force at every joint, bolt, seat and stop.

``cases`` with their sources, ``basis`` (what is read of the truck), ``tires``, ``mechanism``
(stiffness and solution), ``forces``. Values of a solved layout come in; parts ask for forces.
"""
