"""The movements by id.

To add one, write its ``Movement`` in the module it belongs to and list it in that module's
``MOVEMENTS``.
"""

from clips.motions import floor, jumps, knees_and_hips, lunges, reaches, steps, still

MOVEMENTS = {
    movement.id: movement
    for module in (steps, jumps, knees_and_hips, lunges, floor, reaches, still)
    for movement in module.MOVEMENTS
}
