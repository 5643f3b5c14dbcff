"""Rules of gear: what a crate is lifted by, stands on, opens by and breathes through.

Each kind can be turned off; what is then left to people is said on the crate's own pages.
"""

from dataclasses import dataclass

from nesting.base.measure import INCH
from nesting.base.rules import COMMON_PRACTICE, Checked, rule


@dataclass(frozen=True, slots=True)
class GearRules(Checked):
    """Handles, skids, standing, shock, lids that are opened again, and climate."""

    handles: str = rule(
        "bolted",
        unit="word",
        low=("bolted", "screwed", "none"),
        doc="Handles are bolted through a backing block, one for each who lifts; or screwed to the stiles; or none.",
    )
    handle_factor: float = rule(
        3.0,
        unit="ratio",
        low=1.0,
        high=10.0,
        doc="What a handle and its bolts must bear, as so many times its share of the gross weight.",
        source=COMMON_PRACTICE,
    )
    handle_bolt: str = rule("bolt 1/4x1-1/2", unit="word", doc="Bolt of a handle, into a T-nut behind its block.")
    nut: str = rule("t-nut 1/4", unit="word", doc="T-nut of bolts of handles and lids.")
    skids: bool = rule(
        default=True,
        unit="yes or no",
        doc="Whether closed and battened crates that forks must take stand on skids; how they are made is for [case].",
    )
    skid_bolt: str = rule(
        "carriage bolt 3/8x4-1/2",
        unit="word",
        doc="Bolt through rail, inner block and skid: its head inside, washer and nut in a bore in the skid.",
        source="bolts right through: TM 38-260, 8-9; lag screws only into [[1-1/2 in|38 mm]] of lumber",
    )
    skid_washer: str = rule("washer 3/8", unit="word", doc="Washer under its nut.")
    lag_screw: str = rule(
        "lag screw 3/8x3", unit="word", doc="Lag screw, of any length, where an outrigger has no room for a bolt."
    )
    standing: bool = rule(
        default=True,
        unit="yes or no",
        doc="Whether a crate must stand up to the tilt below, on longer skids or strapped to what does.",
    )
    tilt: float = rule(
        20.0,
        unit="degrees",
        low=0.0,
        high=45.0,
        doc="Tilt at which a crate in transit must not yet fall.",
        source="tip test of MIL-STD-1660A, 5.4.5",
    )
    pallet_long: int = rule(
        48 * INCH,
        unit="length",
        low=24 * INCH,
        high=96 * INCH,
        doc="Longer side of the pallet that crates stand on.",
        source="the usual pallet, trade, from memory",
    )
    pallet_wide: int = rule(
        40 * INCH,
        unit="length",
        low=20 * INCH,
        high=96 * INCH,
        doc="Its shorter side.",
        source="the usual pallet, trade, from memory",
    )
    pallet_high: int = rule(
        11 * INCH // 2,
        unit="length",
        low=INCH,
        high=12 * INCH,
        doc="Height of its deck; an A-frame's floor is taken to be as high.",
        source="trade, from memory",
    )
    frame_deepest: int = rule(
        48 * INCH,
        unit="length",
        low=24 * INCH,
        high=96 * INCH,
        doc="Deepest A-frame that goes through doors and between the sides of a van.",
        source=COMMON_PRACTICE,
    )
    outrigger_most: int = rule(
        8 * INCH, unit="length", low=0, high=36 * INCH, doc="How far skids may reach beyond a crate to let it stand."
    )
    strap: str = rule("strapping", unit="word", doc="Woven strap that holds a crate to what it stands by.")
    buckle: str = rule("strap buckle", unit="word", doc="Buckle of such a strap.")
    shock_limit: float = rule(
        0.0,
        unit="G",
        low=0.0,
        high=500.0,
        doc="Shock that the studio or its insurer allows for every piece; 0 where nobody states a limit.",
    )
    rigid_give: int = rule(
        INCH // 4,
        unit="length",
        low=INCH // 32,
        high=2 * INCH,
        doc="Distance over which crate, floor and wood give where a crate without pads hits the floor.",
        source="from memory: an estimate, +/- 50 %; a hard floor gives less",
    )
    isolate: str = rule(
        "auto",
        unit="word",
        low=("auto", "never", "always"),
        doc="Closed and battened crates stand on pads of foam; auto: where a stated limit of shock asks for it.",
    )
    pad_good: str = rule("pe-plank-2", unit="word", doc="Foam of pads under skids, where a crate is isolated.")
    lid: str = rule(
        "auto",
        unit="word",
        low=("auto", "bolts", "screws"),
        doc="A lid that is opened again has bolts into T-nuts; auto: where a piece is consigned.",
    )
    lid_bolt: str = rule("bolt 1/4x1-1/2", unit="word", doc="Bolt of such a lid.")
    lid_apart: int = rule(
        14 * INCH,
        unit="length",
        low=12 * INCH,
        high=16 * INCH,
        doc="Farthest from bolt to bolt of a lid.",
        source=COMMON_PRACTICE,
    )
    climate: bool = rule(
        default=True,
        unit="yes or no",
        doc="Whether crates are sealed, and closed crates abroad get silica gel.",
    )
    gel: str = rule("silica-gel", unit="word", doc="Silica gel, by the bag.")
    exchanges: float = rule(
        1.0,
        unit="ratio",
        low=0.0,
        high=24.0,
        doc="How often a day the air of a closed crate changes through its joints.",
        source="one a day for a gasketed crate, from memory",
    )
    days: float = rule(30.0, unit="days", low=1.0, high=365.0, doc="How long silica gel is to last.")
    humidity: float = rule(
        20.0,
        unit="percent",
        low=1.0,
        high=80.0,
        doc="By how much the air outside may be damper or drier than the piece likes, in relative humidity.",
    )
