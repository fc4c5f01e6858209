"""What the example attempts are worked with, apart from the product: water by Debian's python3-iapws, round tube, numbers
rounded as people round them, and a writer of submission files. Each folder's work.py writes its attempts with it:

    /usr/bin/python3 seed/attempts/fully-pumped/work.py
"""
import json
import math
import os
from decimal import ROUND_HALF_UP, Decimal

from iapws import IAPWS97


def rho(t, bar=2.5):
    """Density of water in kg/m³ at t in °C."""
    return IAPWS97(T=t + 273.15, P=bar / 10).rho


def cp(t, bar=2.5):
    """Specific heat of water in kJ/(kg·K) at t in °C."""
    return IAPWS97(T=t + 273.15, P=bar / 10).cp


def viscosity(t, bar=2.5):
    """Kinematic viscosity of water in m²/s at t in °C."""
    w = IAPWS97(T=t + 273.15, P=bar / 10)
    return w.mu / w.rho


def area(od, wall):
    """Cross-section of the bore in m², outside diameter and wall in mm."""
    return math.pi * ((od - 2 * wall) / 1000) ** 2 / 4


def speed(flow, od, wall):
    """Velocity in m/s of a flow in L/min, outside diameter and wall in mm."""
    return flow / 60000 / area(od, wall)


def friction(re, bore, k=0.0015):
    """Darcy's friction factor by Colebrook's equation, tried until it stands; bore and roughness in mm."""
    x = 6.0
    for _ in range(100):
        x = -2 * math.log10(k / (3.7 * bore) + 2.51 * x / re)
    return 1 / x ** 2


def gradient(flow, od, wall, t):
    """Pressure in Pa that water at t in °C loses in a metre of tube, flow in L/min, outside diameter and wall in mm."""
    v, bore = speed(flow, od, wall), od - 2 * wall
    return friction(v * bore / 1000 / viscosity(t), bore) / (bore / 1000) * rho(t) * v ** 2 / 2


def fix(x, decimals):
    """A number to so many decimals, halves away from zero, with a plain minus sign."""
    return str(Decimal(repr(x)).quantize(Decimal(1).scaleb(-decimals), rounding=ROUND_HALF_UP))


class Attempt:
    """One submission: entries by slot, written item, item#part, item@phase or item#part@phase."""

    def __init__(self, about, trainee, given):
        self.about, self.trainee, self.given = about, trainee, dict(given)
        self.entries, self.before, self.checks = {}, [], {}

    def put(self, slot, text, unit=None, working=None, at=None):
        """Puts something down, over what stood there. Gives the text back as a number where it is one."""
        self.entries[slot] = {"text": text, "unit": unit, "working": working, "at": at}
        try:
            return float(text)
        except ValueError:
            return None

    def done(self, item, steps, times=None):
        """Ticks the steps of a sequence, with their times where they are given."""
        steps = steps.split()
        for step, at in zip(steps, times.split() if times else [None] * len(steps)):
            self.put(f"{item}#{step}", "done", at=at)

    def grid(self, item, checks, rows):
        """Fills in a functional test: rows by key, each with a word for every check."""
        for row, cells in rows.items():
            for check, cell in zip(checks, cells):
                if cell is not None:
                    self.put(f"{item}#{row}/{check}", cell)

    def drop(self, *slots):
        """Leaves slots blank, or every slot of an item."""
        for slot in slots:
            for have in [s for s in self.entries if s == slot or s.startswith((slot + "#", slot + "@"))]:
                del self.entries[have]

    def earlier(self, slot, text, done):
        """A failed result that a re-test has taken the place of."""
        self.before.append((slot, text, done))

    def seen(self, *slots):
        """Readings that the tutor saw on the instrument."""
        for slot in slots:
            self.checks[slot] = None

    def checked(self, slot, text):
        """A reading with the tutor's own beside it."""
        self.checks[slot] = text

    def write(self, script, kind):
        """Writes the submission beside the script that works it."""
        lines = [f"# {self.about}", f"trainee: {self.trainee}", "given:"]
        lines += [f"  {name}: {value}" for name, value in self.given.items()]
        lines.append("entries:")
        for slot, e in self.entries.items():
            lines.append("  - " + row(slot, [("text", e["text"]), ("unit", e["unit"]), ("at", e["at"]), ("working", e["working"])]))
        if self.before:
            lines.append("earlier:")
            lines += ["  - " + row(slot, [("text", text), ("done", done)]) for slot, text, done in self.before]
        if self.checks:
            lines.append("checks:")
            lines += ["  - " + row(slot, [("text", text)], "" if text else ", seen: true") for slot, text in self.checks.items()]
        with open(os.path.join(os.path.dirname(os.path.abspath(script)), kind + ".yaml"), "w", encoding="utf-8") as f:
            f.write("\n".join(lines) + "\n")


def row(slot, members, end=""):
    name, _, phase = slot.partition("@")
    item, _, part = name.partition("#")
    out = [f"item: {item}"]
    if part:
        out.append("part: " + json.dumps(part))
    if phase:
        out.append(f"phase: {phase}")
    out += [f"{key}: {json.dumps(value, ensure_ascii=False)}" for key, value in members if value is not None]
    return "{" + ", ".join(out) + end + "}"
