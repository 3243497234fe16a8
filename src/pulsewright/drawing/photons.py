"""The photon budget of a shot as a flow: from what the dye absorbed to the laser's output and everything beside it."""

from __future__ import annotations

from collections.abc import Mapping

from pulsewright.drawing.flow import Branch, Flow

#: What ends an excited molecule, beside stimulated emission; and what ends a photon between the mirrors.
S1_ENDS: Mapping[str, tuple[str, str]] = {
    "fluorescence": ("fluorescence", "leaves the cell in all directions"),
    "internal conversion": ("heat in the dye", "the excited state falls back without light"),
    "crossing to triplets": ("to triplets", "the molecule stays dark until the triplet decays"),
    "oxygen quenching": ("quenched by oxygen", "by oxygen dissolved in the dye"),
}
LIGHT_ENDS: Mapping[str, tuple[str, str]] = {
    "output": ("laser", "leaves through the output coupler"),
    "cavity loss": ("lost at mirrors, windows", "mirrors, windows, scatter, diffraction"),
    "excited-state absorption": ("absorbed by excited dye", "heat: the molecule stays excited"),
    "triplet absorption": ("absorbed by triplets", "heat: the molecule stays a triplet"),
    "ground re-absorption": ("absorbed again", "excites the dye once more: comes in again at the left"),
}
#: No band for what is neither: a total, what makes light begin, what is left at the end.
_APART = ("absorbed", "stimulated emission", "seed", "stored", "injected light")


def photon_flow(budget: Mapping[str, float]) -> Flow | None:
    """The flow of a photon budget; None where nothing was absorbed.

    Parameters
    ----------
    budget : mapping of str to float
        Photons by channel, as in a shot's `budgets["photons"]`; a channel not named here is an end of light.
    """
    whole = float(budget.get("absorbed", 0.0))
    if not whole > 0.0:
        return None

    def share(name: str) -> float:
        return max(float(budget.get(name, 0.0)) / whole, 0.0)

    others = [name for name in budget if name not in (*S1_ENDS, *LIGHT_ENDS, *_APART)]
    light = [
        Branch(words, share(name), role="flow beam-fill" if name == "output" else "flow", note=note)
        for name, (words, note) in LIGHT_ENDS.items()
        if name in budget
    ]
    light += [
        Branch(name, share(name), note="light that is not the laser's beam") for name in others if share(name) > 0.0
    ]
    emitted = sum(one.share for one in light)
    ends = [Branch(words, share(name), note=note) for name, (words, note) in S1_ENDS.items() if name in budget]
    trunk = Branch(
        "stimulated emission", emitted, tuple(light), note="light that adds to the light between the mirrors"
    )
    sources: tuple[Branch, ...] = (
        Branch("absorbed", 1.0, note="photons of the lamps that the dye took up"),
        Branch("absorbed again", share("ground re-absorption"), note="laser light that the dye took up"),
    )
    if share("injected light") > 0.0:
        sources = (*sources, Branch("injected", share("injected light"), note="light sent in along the axis"))
    note = "Widths are shares of the photons that the dye absorbed from the lamps."
    return Flow("photons", "Where the absorbed photons went", sources, (trunk, *ends), note)
