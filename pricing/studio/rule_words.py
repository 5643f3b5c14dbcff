"""What people call the rules and their groups: short names for a page, where files have keys.

A test holds that every rule has one, and that none of them is a key.
"""

from collections.abc import Mapping
from decimal import Decimal, InvalidOperation
from functools import cache
from typing import Any, Final

from nesting.base.rules import RuleFacts, rules_of
from nesting.shop.shop_file import rule_groups
from pricing.money import half_up
from pricing.studio.rates_file import GROUPS as RATE_GROUPS
from pricing.studio.rates_file import default_rates

_GROUPS: Final = """
saw Saw and offcuts
tools Tools of the shop
method Choosing a packing method
frame Frames and faces
joinery Joints, screws and glue
battens Battens and seams
cleats Mounting cleats
mounting Strength of mountings
estimate Weights by estimate
cushion Cushioning of cases
forks Pallet jacks and forks
lifting Lifting and carrying
ispm Wood across borders
passage Doors and vans
cure Resin at rest
wrap Wrapping
carton Cartons
travel Travel frames
case Outer cases
gear Handles, skids, lids, climate
labels Label paper
labour Minutes of work
price From cost to price
tax Tax on the quote
sale Sale through a gallery
insurance Insurance
delivery Delivery
calendar People and days
reuse Crates that serve again
offer Offers to clients
consignment Works on consignment
"""
GROUPS: Final[Mapping[str, str]] = {
    name: label for name, _, label in (line.partition(" ") for line in _GROUPS.strip().splitlines())
}

_TEXT: Final = """
saw.kerf Kerf of the saw
saw.stick_kerf Kerf of the chop saw
saw.trim_left Trim at the left edge
saw.trim_right Trim at the right edge
saw.trim_bottom Trim at the lower edge
saw.trim_top Trim at the upper edge
saw.offcut_length Shortest offcut kept
saw.offcut_width Narrowest offcut kept
saw.panel_sq_ft Largest panel for one person
saw.least_goods Least goods, whatever the work
tools.rip Widest rip at the table saw
tools.along_fence Shortest piece along the fence
tools.narrowest Narrowest piece at the fence
tools.push_below Push block below
tools.crosswise Longest panel across the fence
tools.track Longest cut of the track saw
tools.chop Widest board at the chop saw
tools.chop_stack Highest stack at the chop saw
tools.hold Least length held by hand
tools.clamp Least panel under the rail
tools.knife Thickest foam cut by knife
tools.band Thickest foam cut by bandsaw
tools.band_kerf Kerf of the bandsaw
method.carton_size Longest side in a carton
method.carton_lb Heaviest piece in a carton
method.closed_size Longest side in a closed crate
method.travel_from Travel frames from so many pieces
method.case_most Most travel frames in a case
frame.frame_good Good of frame strips
frame.larger_by Frame larger than the piece by
frame.smaller_by Frame may be smaller by
frame.depth_over Strip wider than piece and cleat by
frame.depth_over_large The same for a large piece
frame.large_from Large from a longest side of
frame.strip_least Narrowest frame strip
frame.strip_step Step of strip widths
frame.strip_step_metric Step of strip widths, metric
frame.rails_run_through Rails run through
frame.liner_good Good of the liner
frame.back_heavy_lb Heavy back over
frame.back_middling_lb Middling back over
frame.back_heavy Good of a heavy back
frame.back_middling Good of a middling back
frame.back_light Good of a light back
frame.lid Good of the lid
joinery.glue Glue for wood
joinery.glue_g_m2 Glue on a joint
joinery.foam_glue Glue for foam
joinery.foam_glue_g_m Hot glue along the liner
joinery.frame_screw Screw of corner blocks
joinery.corner_screw Screw of rail and stile
joinery.face_screw Screw of a thin face
joinery.face_screw_long Screw of a thick face
joinery.face_screws_apart Screws of a face apart
joinery.corner_leg Corner block along the stile
joinery.block_good Good of corner blocks
joinery.gusset_length Length of a gusset
joinery.grain_along Strips along the grain
joinery.gasket Gasket under the lid
joinery.handle Handle on a stile
joinery.handle_screw Screw of a handle
joinery.handles_from_lb Handles from a gross weight of
joinery.snap Step of positions
joinery.snap_metric Step of positions, metric
battens.goods Goods of battens
battens.good One good for all battens
battens.width Width of a batten
battens.clear Most open face between battens
battens.spacing Most from batten to batten
battens.seam_good Thinnest good over a seam
battens.seam_width Width of a batten over a seam
battens.panel_least Narrowest panel of a face
battens.screws_apart Screws of a batten apart
battens.screw Screw of a batten
battens.seam_screw Screw of a batten over a seam
battens.staple Staple in place of screws
battens.staples_apart Staples apart
cleats.good Good of mounting cleats
cleats.width Width of a mounting cleat
cleats.width_least Narrowest mounting cleat
cleats.gap_least Least gap between cleats
cleats.inset_ends Cleat inside the sides by
cleats.inset_edge Cleat inside the edges by, at most
cleats.inset_least Cleat inside the edges by, at least
cleats.length_least Shortest mounting cleat
cleats.screws Screws stocked for mounting
cleats.washer_heads Screws with a washer head
cleats.washer Loose washer
cleats.tip_short Screw tips short of the cleat's face by
cleats.countersink Depth of sunk heads
cleats.thread_least Least thread of any screw
cleats.thread Least thread that a piece hangs by
cleats.second Good of a second layer
cleats.clearance Hole through the back
cleats.apart_most Most between rows of cleats
cleats.tie Cleats in place of pads
cleats.pad_length Length of a bearing pad
cleats.step Step of mounting screws
cleats.step_metric Step of mounting screws, metric
cleats.screw_ends Screws from a cleat's ends
cleats.screw_apart Least between mounting screws
cleats.piece_screws Screws into the piece
cleats.piece_sink Depth of heads in the cleat
cleats.piece_wood Least wood behind a cleat
cleats.hollow_backs Words for hollow backs
cleats.bar_least Narrowest bar that takes a screw
cleats.piece_tip Screw tips short of the piece's face by
cleats.block_good Good of setting blocks
cleats.block_width Width of a setting block
cleats.block_height Height of a setting block
cleats.block_spacing Most between setting blocks
cleats.set_gap Gap between pieces of a set
mounting.handling_factor Weight of a piece, times
mounting.lid_factor Weight of a lid, times
mounting.duration_factor Load of a knock, times
mounting.screws_least Fewest screws in a cleat
mounting.head_in Head of a washer-head screw
estimate.spread Uncertainty of an estimate
estimate.spread_guessed Uncertainty with the support unknown
estimate.face Face of a hollow panel
estimate.hollow_from Hollow from a depth of
estimate.bar_width Width of bars
estimate.bar_spacing A crossbar for each
estimate.resin Depth of resin where unknown
estimate.glazing Thickness of glazing
estimate.canvas_g_m2 Weight of primed canvas
cushion.fragility_small Shock that a small piece takes
cushion.fragility_large Shock that a larger piece takes
cushion.large_from Larger from a longest side of
cushion.factor Cushion factor of the foam
cushion.thickness Fixed cushion on each side
cushion.manual_lb Moved by machines only over
cushion.level Assurance level by machine
cushion.rotational_share Rotational drop as a free fall
cushion.art_carrier Assurance level of an art carrier
cushion.own_van Assurance level of the own van
cushion.least Least foam by common carrier
cushion.least_gentle Least foam by van or art carrier
cushion.snug Snug pads on each side
forks.jack_height Height of a pallet jack
forks.jack_width Width over the forks of a jack
forks.fork_height Height that forks need
forks.base_share Outriggers under a base of
lifting.one_person_lb Heaviest crate for one person
lifting.one_person_longest Longest crate for one person
lifting.forks_lb Jack or forks from
lifting.lift_to Height of lifting
ispm.thin Exempt wood up to
ispm.exempt_pairs Countries that ask nothing
passage.door_width Width of the studio's door
passage.door_height Height of the studio's door
passage.van_length Length inside the van
passage.van_width Width inside the van
passage.van_height Height inside the van
passage.margin Room for hands at the door
passage.ways Other doors and vans
cure.pack_hours Last pour to packing, at least
cure.thin_pour Thin pour up to
cure.hours_per_eighth More for each step deeper
cure.pour_step Step of depth of a pour
cure.hours_per_pour More for each pour
cure.face_days Last pour to touching the face
wrap.overlap Lap of a wrapped sheet
wrap.roll_lap Lap of two strips
wrap.paper_turns Layers of paper
wrap.foam_good Good of foam wrap
wrap.foam_light Foam layers, light piece
wrap.foam_middling Foam layers, middling piece
wrap.foam_heavy Foam layers, heavy piece
wrap.middling_lb Middling over
wrap.heavy_lb Heavy over
wrap.film_good Good of film
wrap.staple_good Good of staples
wrap.staple_spacing Most from staple to staple
wrap.film_clear Film clear of the face by
wrap.tape_good Good of tape
carton.board_good Good of the boards
carton.cushion_good Good of the cushion
carton.soft_good Good of soft layers
carton.soft_least Fewest soft layers
carton.soft_most Most soft layers
carton.divider_good Good of dividers and trays
carton.tray_air Air before a face in a tray
carton.share_most Most works in one carton
carton.wall Wall of a carton
carton.fill_good Good of the filling
carton.fill_from Filled from
carton.fill_most Most room that paper fills
carton.fill_share Paper in crumpled paper
travel.slat_good Good of slats
travel.slat_width Width of a slat
travel.slat_width_large Width of a slat, large piece
travel.large_from Large over a longest side of
travel.third_from Third slat over a height of
travel.plate_good Good of plates over joints
travel.cleat_past Spliced cleat past the joint by
travel.slat_screw Screw of a slat
travel.slat_screws Screws in each end of a slat
travel.cleat_width Width of a French cleat
travel.cleat_inset French cleat from the edge
travel.cleat_short French cleat from the sides
travel.hanging_screws Screws of the buyer's half
case.face_good Good of the faces
case.lumber_good Lumber along the edges
case.skid_good Lumber of the skids
case.skid_plies Pieces of lumber in a skid
case.skid_from_lb Skids from a gross weight of
case.skid_clear Clear between the skids
case.laminate_abroad Laminated wood abroad
case.laminate_good Plywood of laminated wood
case.opens Face that opens
case.front_up_to Opens at the front up to
case.door_spacing Opening face, a screw for each
case.door_least Fewest screws in the opening face
case.door_most Most screws in the opening face
case.door_screw Screw of the opening face
case.cushion Foam round the frames
case.cushion_good Good of the cushion
case.pad_slender Pad wider than thick, times
case.spacer_good Good of spacers
case.spacer_width Width of a spacer
case.near_size Frames of one case differ by, at most
gear.handles Handles
gear.handle_factor Load of a handle, times
gear.handle_bolt Bolt of a handle
gear.nut T-nut of bolts
gear.skids Skids under crates for forks
gear.skid_bolt Bolt of a skid
gear.skid_washer Washer of that bolt
gear.standing Crates stand up to a tilt
gear.tilt Tilt that a crate stands
gear.outrigger_most Skids beyond the crate, at most
gear.frame_deepest Deepest A-frame
gear.lag_screw Lag screw of an outrigger
gear.pallet_high Height of a pallet
gear.pallet_long Longer side of a pallet
gear.pallet_wide Shorter side of a pallet
gear.strap Strap
gear.buckle Buckle of a strap
gear.shock_limit Shock allowed for every piece
gear.rigid_give Give without pads
gear.isolate Crates on pads of foam
gear.pad_good Foam of those pads
gear.lid Lid with bolts
gear.lid_bolt Bolt of a lid
gear.lid_apart Most from bolt to bolt
gear.climate Crates sealed against climate
gear.gel Silica gel
gear.exchanges Changes of air a day
gear.days Days that silica gel lasts
gear.humidity Humidity damper or drier by
labels.grid Rows by columns
labels.rows Labels from top to bottom
labels.columns Labels side by side
labels.top Margin above and below
labels.side Margin left and right
labels.row_gap Gap between rows
labels.column_gap Gap between columns
labour.load Fetch and square a sheet
labour.setup Set the fence
labour.rip A rip
labour.crosscut A crosscut
labour.track_cut A cut with the track saw
labour.carry Carry panels to the next tool
labour.turn Turn a panel
labour.stop_setup Set the stop of the chop saw
labour.chop_cut A pass of the chop saw
labour.knife_cut A cut of foam or board
labour.bevel_setup Tilt the blade for bevels
labour.stick_cut A cut of lumber
labour.strip A strip of paper, film or foam
labour.hole Drill a hole
labour.screw Drive a screw
labour.staple Drive a staple
labour.bolt Fit a bolt
labour.fitting Fit a handle, strap or gel
labour.glue_run Glue an edge or strip
labour.assembly Bring a frame or face together
labour.wrap Wrap a piece in one layer
labour.mounting Screw a piece into its crate
labour.mark_out Label and mark a part
labour.seal Seal an opening
labour.label Put on a mark or label
labour.record Photograph and report a piece
labour.yard Trip to the yard
labour.hand_over Hand a crate over
labour.saw_hour Hour paid at the saw
labour.bench_hour Hour paid at the bench
labour.packing_hour Hour paid for packing
price.charge Materials are charged as
price.waste Waste of rolls, boxes, pieces
price.sheet_waste Waste of sheets and sticks
price.offcut_value Value of a kept offcut
price.contingency Contingency
price.overhead Overhead
price.profit Profit is
price.profit_rate Rate of profit
price.discount Discount
price.minimum Least charge of a job
price.round_to Price rounded to
price.round_way Rounded
price.freight_marked_up Freight marked up
price.stale_days Prices are old after
price.valid_days A quote holds for
tax.name Name of the tax
tax.rate Rate of tax
tax.on_freight Tax on freight
tax.on_insurance Tax on insurance
tax.by_destination Tax by where it goes
tax.abroad Rates of other member states
sale.commission Commission of the gallery
sale.shipping_paid_by Packing and shipping borne by
sale.art_tax Tax on the artwork
insurance.rate Premium of declared value
insurance.minimum Least premium
insurance.as_of Day of these figures
delivery.hands_lb Unloaded by hand up to
delivery.profile Freight where no place names one
delivery.home_dock Dock at the studio
delivery.home_residential Studio counts as a home
delivery.freight_stale_days Freight figures are old after
delivery.pallets Pallets for thin crates
delivery.a_frames A-frames
delivery.tilt_indicator Tilt indicator
delivery.shock_indicator Shock indicator
calendar.people People in the shop
calendar.hours_per_day Hours of one person a day
calendar.working_days Working days of the week
calendar.closed Days closed
calendar.lead_days Supplier's delivery takes
calendar.hand_over_days Packing to hand-over
reuse.carton_trips Trips of a carton
reuse.closed_trips Trips of a closed crate
reuse.battened_trips Trips of a battened crate
reuse.travel_trips Trips of a travel frame
reuse.search_factor Packing without instructions, times
reuse.lids_lost Opening faces spoiled
reuse.lid_minutes A new opening face
reuse.spare_screws Spare screws
reuse.kit_minutes Instructions and spares
offer.deposit Deposit
offer.rest_due The rest is due
offer.pay How to pay
offer.delivery_term Delivery term
offer.terms Terms of your own
offer.lead_days Order to hand-over, at least
consignment.discount_by Discount borne by
consignment.production_by Production paid by
consignment.loss_by Loss and damage borne by
consignment.way_back_by Way back paid by
consignment.paid_within Artist paid within
consignment.unsold_back Unsold works back after
freight.kind Kind of freight
freight.as_of Day of these figures
freight.title Called
freight.base Charge of a shipment
freight.per_lb For each billed pound
freight.per_kg For each kilogram
freight.per_km For each kilometre
freight.per_piece For each crate
freight.divisor Volume that counts as weight
freight.fuel Fuel surcharge
freight.metre_kg Weight of a loading metre
freight.trailer_wide Width of the trailer
freight.stack_most Pieces on each other
freight.stack_high Height for what is stacked
freight.minimum Least charge
freight.liftgate Liftgate
freight.residential Delivery to a home
freight.inside Delivery inside
freight.there_and_back Way back paid too
freight.part Part of a shared van
freight.amount Quotation
freight.longest Longest side taken
freight.length_girth Longest length plus girth
freight.highest Highest piece taken
freight.heaviest_lb Heaviest piece taken
freight.load_lb Heaviest shipment taken
freight.countries Countries it goes to
freight.goes_to Where this leg ends
freight.km Its own way, as one leg
freight.transit_days Days on the way, fewest
freight.transit_days_most Days on the way, most
freight.working_days Working days of the carrier
freight.closed Days closed
freight.item Freight class by
freight.on_pallets Billed with its pallet
freight.no_stack Nothing stacked on
freight.no_stack_height Height that counts then
freight.cubic_ft3 Cubic capacity beyond
freight.cubic_lb_ft3 Density billed then
freight.linear_ft Linear feet beyond
freight.linear_lb_ft3 Linear feet below a density of
freight.linear_lb_per_ft Weight of a linear foot
freight.linear_turned Longer side across the trailer
freight.volume_over_ft3 Volume counts beyond
freight.over_lb Heavy piece over
freight.over_lb_each Extra for a heavy piece
freight.long_over Long piece over
freight.long_each Extra for a long piece
freight.second_over Second side over
freight.second_each Extra for a second side
freight.girth_over Length plus girth over
freight.girth_each Extra for length plus girth
freight.wooden_each Extra for a piece in wood
freight.handling Extras of one piece
freight.limited Limited access
freight.liftgate_wide Width of the liftgate
freight.liftgate_deep Depth of the liftgate
freight.liftgate_lb Heaviest on the liftgate
freight.inside_100lb Delivery inside, 100 lb
freight.inside_most Delivery inside, at most
freight.over_length_each Over-length for each piece
freight.lineal_per_ft Least charge of a foot
freight.lineal_over It counts for pieces over
freight.lineal_under_lb And shipments under
freight.declared_most Highest declared value
freight.released_per_lb Carrier answers for, a pound
freight.released_per_kg Carrier answers for, a kilogram
freight.released_per_piece Carrier answers for, a piece
freight.released_sdr_per_kg In SDR, a kilogram
freight.released_sdr_per_piece In SDR, a piece
freight.list_over_per_lb Listed in writing over, a pound
freight.cover_step Step of the carrier's cover
freight.cover_each Cost of a step
freight.cover_most Most that it covers
freight.tilt_each Tilt indicators on a crate
freight.shock_each Shock indicators on a crate
"""

LABELS: Final[Mapping[str, str]] = dict(line.split(" ", 1) for line in _TEXT.strip().splitlines())
"""Of a freight profile's rule the name of the profile is left out."""


_TIMES: Final = frozenset({
    "mounting.handling_factor", "mounting.lid_factor", "mounting.duration_factor", "cushion.factor",
    "case.pad_slender", "gear.handle_factor", "gear.exchanges", "reuse.search_factor",
})  # fmt: skip
"""Numbers without a unit that are no part of something: they stand as they are, all others as per cent."""


def is_a_part(facts: RuleFacts, name: str) -> bool:
    """Whether a rule is a part of something, such as waste or overhead: shown as per cent, and read so."""
    return facts.unit == "ratio" and name not in _TIMES


def part_text(part: float | Decimal) -> str:
    """Write a part as per cent, to a hundredth of one."""
    return f"{half_up(Decimal(str(part)) * 100).normalize():f} %"


@cache
def _parts() -> frozenset[str]:
    """Return the names of the rules that are parts, those of freight without a profile."""
    groups: dict[str, Any] = dict(rule_groups())
    groups |= {name: getattr(default_rates(), name) for name in RATE_GROUPS}
    groups["freight"] = default_rates().freight[0]
    return frozenset(
        f"{name}.{facts.name}"
        for name, group in groups.items()
        for facts in rules_of(group)
        if is_a_part(facts, f"{name}.{facts.name}")
    )


def told_value(name: str, text: str) -> str:
    """Write a rule's value, as it is stored, for people: 0.2 of a part is ``20 %``."""
    group, _, key = name.partition(".")
    try:
        part = Decimal(text) if f"{group}.{key.rpartition('.')[2]}" in _parts() else None
    except InvalidOperation:
        return text
    return text if part is None or not part.is_finite() else part_text(part)


def label_of(name: str) -> str:
    """Return what people call a rule: ``method.carton_lb`` is ``Heaviest piece in a carton``."""
    group, _, key = name.partition(".")
    if group == "freight":
        key = key.rpartition(".")[2]
    return LABELS.get(f"{group}.{key}") or key.replace("_", " ").capitalize()


def group_of(name: str) -> str:
    """Return what people call a group of rules; a freight profile, ``freight van``, by its own name."""
    if name.startswith("freight "):
        return f"Freight: {name.removeprefix('freight ')}"
    return GROUPS.get(name, name)
