"""What can be wrong with the register of equipment.

EquipmentError
    EquipmentRefusedError  the thing asked cannot be done; nothing was changed
"""


class EquipmentError(Exception):
    """Something about the equipment that its user can act on."""


class EquipmentRefusedError(EquipmentError):
    """An entry that the register does not take as it is; says why and what to do."""
