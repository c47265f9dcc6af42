"""Say how a compound saw is set for a rail's end, against a face or against another rail."""

from __future__ import annotations

import math

from railsheet.cli.say import say
from railsheet.layout.compound import Bar, Lies, Vector, meet, rail_setting, raked_bar
from railsheet.units.display import angle_text


def say_face(rake_deg: float, plan_deg: float) -> None:
    """Print the settings of a rail's end against a plumb face.

    Args:
        rake_deg: the rail's climb toward the end; below zero where it falls.
        plan_deg: how far the face is turned in plan from square across the rail, to the left.
    """
    plan = math.radians(plan_deg)
    say(f"Rail at {_deg(rake_deg)} to a plumb face turned {_deg(plan_deg)} in plan from square:")
    bar = raked_bar(0.0, math.radians(rake_deg))
    _say_end("its end", bar, (math.cos(plan), math.sin(plan), 0.0))


def say_rail(rake_deg: float, turn_deg: float, onto_deg: float) -> None:
    """Print the settings of two rails of one section that meet in one cut.

    Args:
        rake_deg: the first rail's climb toward the joint.
        turn_deg: how far the second turns in plan, to the left.
        onto_deg: the second rail's climb away from the joint.
    """
    first = raked_bar(0.0, math.radians(rake_deg))
    second = raked_bar(math.radians(turn_deg), math.radians(onto_deg))
    # Whether it is flush does not depend on the section's size.
    joint = meet(first, second, 50.0, 50.0)
    say(f"Rail at {_deg(rake_deg)} onto a rail at {_deg(onto_deg)}, turning {_deg(turn_deg)}:")
    _say_end("first rail's end", first, joint.cut_normal)
    x, y, z = joint.cut_normal
    sx, sy, sz = second.axis
    _say_end("second rail's end", Bar((-sx, -sy, -sz), second.up), (-x, -y, -z))
    if joint.lip_mm:
        say(
            "  STOP: the two sections do not meet flush in that cut: put a post or an easing "
            "between them"
        )


def _say_end(name: str, bar: Bar, cut_normal: Vector) -> None:
    for lies in Lies:
        setting = rail_setting(bar, lies, cut_normal)
        say(
            f"  {name}, {lies.value}: mitre {angle_text(abs(setting.mitre_rad))}, bevel "
            f"{angle_text(abs(setting.bevel_rad))}; long point {setting.long_point}"
        )


def _deg(degrees: float) -> str:
    return angle_text(math.radians(degrees))
