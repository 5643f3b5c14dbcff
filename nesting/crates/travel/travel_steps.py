"""Steps: how a travel frame is made, loaded and opened, one numbered instruction after the other."""

from nesting.crates.model import Box, Step
from nesting.crates.shells.mounting import mounting_stop, piece_stop
from nesting.crates.shells.shell_steps import lifters, listed, rest_steps, short_parts
from nesting.crates.travel.hanging import Rows
from nesting.crates.travel.travel_frame import TravelFrame


def _heights(made: TravelFrame, slats: list[Box]) -> str:
    """Write the lower edges of slats, from the bottom of the frame up."""
    return listed([made.mark(y) for y in sorted({slat.y for slat in slats})])


def _on_piece(made: TravelFrame, name: str, rows: Rows) -> str:
    """Say where the half on the piece lies and where its screws stand, from the piece's left and lower edge."""
    pair, hung = rows.pair, made.hung
    right, foot = hung.x + hung.artwork.width, hung.y
    start, end = pair.runs[0][0], sum(pair.runs[-1])
    told = (
        f"{name}: square upper edge {made.mark(pair.y + pair.height - foot)} up, "
        f"left end {made.mark(right - end)} from the left edge"
        + (f", right end {made.mark(start - hung.x)} from the right edge" if right - end != start - hung.x else "")
    )
    heights = sorted({y for _, y in rows.into_piece})
    for y in heights:
        at = listed([made.mark(right - x) for x in sorted((x for x, own in rows.into_piece if own == y), reverse=True)])
        told += f", screws {made.mark(y - foot)} up, {at} from the left edge"
    return told


def travel_steps(made: TravelFrame, cured: tuple[str, ...], lift: str) -> tuple[Step, ...]:
    """Write down making, packing and opening, in order."""
    frame, slats, low, high = made.frame, made.slats, *made.rows
    name, blank = made.piece.piece, made.shop.saw.kerf
    slat_count = f"{len(slats[0])} at the back, {len(slats[1])} at the front"
    removal = len(low.removal) + len(high.removal)
    hanging = len(low.hanging) + len(high.hanging)
    holding = "two people hold" if made.load.kg > 15 else "one person holds"
    return (
        *short_parts(made.bench, made.units),
        Step(
            f"Rip frame strips {made.mark(frame.strip)} wide; glue and screw the frame "
            f"{made.mark(frame.width)} x {made.mark(frame.height)} over its corner blocks; check both diagonals.",
            "Eye, ear and dust protection at the saw.",
        ),
        Step(
            f"Rip each French cleat blank in two along its middle with the blade at 45 degrees (kerf "
            f"{made.mark(blank)}): two halves with a long face of {made.mark(low.pair.width)}.",
            "Keep the offcut side free of the fence: a bevelled strip can be thrown back.",
        ),
        Step(
            f"Glue and screw the back slats, one behind each pair of cleats ({slat_count}), lower edges "
            f"{_heights(made, slats[0])} from the bottom of the frame; glue in the liner."
            + (
                " Slats are joined end to end: the cleats run across the joint, two screws on either side of it in "
                "both halves; slats without cleats get a plate over it, glued and screwed."
                if made.joints
                else ""
            ),
        ),
        *(
            [
                Step(
                    f"Glue and screw the {made.pads} bearing pads to the inside of the slats between the cleats, "
                    "behind the bars of the piece: it rests on them when it is pressed back.",
                    "Flush and free of glue and screw heads where the piece lies on them.",
                )
            ]
            if made.pads
            else []
        ),
        Step(
            f"Without the piece, hold each pair hooked together at its place (lower edges "
            f"{made.mark(low.pair.y)} and {made.mark(high.pair.y)} from the bottom of the frame) and drill the "
            f"pilot holes of the drill map through the slats with a stop at "
            f"{mounting_stop([made.slat], made.shop, made.units)}. Screw the buyer's halves down with the "
            f"{hanging} screws that the map marks with a square; the {removal} plain ones wait for the piece.",
            "Never drill with the piece in the frame.",
        ),
        *rest_steps(cured),
        Step(
            f"Screw the other halves to the back of {name} with {made.fix.short}, heads sunk: "
            f"{len(low.into_piece) + len(high.into_piece)} screws, in wood only, bevel below, the short face on the "
            f"piece; pilot holes with a stop at {piece_stop(made.fix, made.shop, made.units)}. "
            f"Measured on the piece, seen from behind: {_on_piece(made, 'lower half', low)}; "
            f"{_on_piece(made, 'upper half', high)}. The drill map relies on these places.",
            "Keep to the stop, in half and piece together: tips stay "
            f"{made.mark(made.fix.margin)} short of the face at the least.",
        ),
        Step(
            f"Hook {name} onto the buyer's halves; {holding} it while its {removal} removal screws "
            f"{made.mount.short} go in through the slats, upper row first.",
            "Clean gloves, by the edges; nothing touches the face.",
        ),
        Step(
            f"Screw on the front slats, without glue, lower edges {_heights(made, slats[1])} from the bottom of the "
            f"frame: {made.mark(made.air)} of air stays before the face.",
            "Lay nothing on the face; keep tools away from the opening.",
        ),
        Step(
            "Staple the film over the outside, tight, into the edges of the frame only. To lift the frame: "
            f"{lifters(lift)}.",
            "The film must not sag to the face: no plastic touches it.",
        ),
        Step(
            "To open: film and front slats first; then the removal screws from behind, the lower row first and "
            "the upper row last, one person holding the piece; lift it off its cleats; then unscrew the buyer's "
            "halves and hand them over.",
            "The piece hangs on its cleats to the end, but hold it: it can be lifted off by a knock.",
        ),
    )
