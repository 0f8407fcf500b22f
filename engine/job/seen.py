"""What is settled by looking, and what a meter shows."""

from typing import Annotated, Literal

from pydantic import Field

from engine.job.base import Record
from engine.job.kinds import Faces, Inches, ReadVolts


class Readings(Record):
    """Meter readings, taken by a qualified person."""

    line_to_line_volts: list[ReadVolts] | None = None
    """At the secondary terminals, loads off [V]: A-B, B-C, C-A, all three. Single-phase: the outer pair."""
    line_to_neutral_volts: list[ReadVolts] | None = None
    """From each line to the neutral at the transformer, in the order A, B, C, loads off [V]. The high leg of a delta counts too."""
    line_to_ground_volts: list[ReadVolts] | None = None
    """From each line to bare metal of the case, in the order A, B, C [V]. Readings that drift, or one near zero, show what line to neutral hides."""
    neutral_to_ground_volts: ReadVolts | None = None
    """From the neutral terminal to bare metal of the case, loads off [V]. Near zero does not prove the jumper."""
    neutral_to_ground_far_volts: ReadVolts | None = None
    """At an outlet far away, with load on it [V]. About 1 V to 2 V is usual; almost none suggests a second bond nearby."""
    bonding_conductor_amperes: Annotated[float, Field(ge=0, le=5000)] | None = None
    """Clamp around the supply-side bonding jumper alone, or the whole raceway, loads on [A]. About zero proves nothing."""
    electrode_conductor_amperes: Annotated[float, Field(ge=0, le=5000)] | None = None
    """Clamp around the grounding electrode conductor alone, loads on [A]. Loops through steel and pipe show here too."""
    neutral_insulation_megohms: Annotated[float, Field(ge=0, le=1e6)] | None = None
    """Insulation tester, de-energized [megohm]. It covers only what was connected. Reinstall the system bonding jumper afterward."""
    winding_insulation_megohms: Annotated[float, Field(ge=0, le=1e6)] | None = None
    """Each winding to the other and to ground, 1 min each, de-energized, X0 lifted [megohm]. Reconnect X0 afterward."""
    insulation_test_volts: Literal[250, 500, 1000] | None = None
    """The tester's setting [V dc]. The table used here has 1000 for windings up to 600 V."""
    bonding_path_ohms: Annotated[float, Field(ge=0, le=1e6)] | None = None
    """From the case to the first disconnect, de-energized, with a low-resistance ohmmeter [ohm]. A thin path can read low too."""
    rotation_matches_record: bool | None = None
    """Rotation meter on the secondary, leads in the same order as before the change. If there is no record, leave it blank."""
    turns_ratio_deviation_percent: Annotated[float, Field(ge=0, le=100)] | None = None
    """From the turns-ratio tester: the worst of all phases and taps read, without its sign [%]."""
    turns_ratio_taps_read: bool | None = None
    """Only the tap in use is a no. Move links only when de-energized, and put them back where they were."""


class Observations(Record):
    """What was seen around the transformer. Yes, no, or not looked."""

    ventilation_clear: bool | None = None
    """Tape the distance from the vents to walls and stored goods; the nameplate gives the minimum."""
    top_free_of_storage: bool | None = None
    """Boxes, cables and rags count. Look from above at a unit that is mounted high."""
    top_marked: bool | None = None
    """Look for the words on the top itself. Where the top is not flat, or is out of reach, answer yes."""
    terminal_bar_used: bool | None = None
    """Grounding and bonding conductors land on a terminal bar bolted to the enclosure, not on vent slots or studs."""
    wire_leads_joined_and_bonded: bool | None = None
    """Yes only if its own connections are wire leads, not terminals, and listed connectors join the grounding wires and bond them to the case."""
    terminal_bar_clear_of_vents: bool | None = None
    """Shine a light through the vents from outside: if the bar covers them, you see it behind them. Keep your hands out."""
    conductors_clear_of_vents: bool | None = None
    """See where it enters the case: a knockout with a bushing is an entry, a vent slot is not."""
    readily_accessible: bool | None = None
    """Reached without tools, ladders or climbing. Also a yes: a dry type up to 1000 V in the open on a wall, column or structure."""
    above_ceiling: bool | None = None
    """The space above a drop ceiling counts, even if its tiles lift out. Under an open deck with no ceiling is a no."""
    hollow_space_open: bool | None = None
    """Yes if tiles lift out, or an access door is large enough. Permanently closed in, such as by a hard lid of gypsum board, is a no."""
    ceiling_moves_air: bool | None = None
    """Return-air grilles without ducts on them show that the space itself carries the air."""
    case_suits_air_space: bool | None = None
    """A metal case is a yes; a plastic one only if it is listed for an air-handling space."""
    disconnect_in_sight: bool | None = None
    """A disconnect for the transformer is visible and not more than 50 ft away."""
    disconnect_lockable_and_marked: bool | None = None
    """Both, or it is a no: a place for a lock on the disconnect, and a marking on the transformer that says where it is."""
    combustibles_clear: bool | None = None
    """Tape to wood, cardboard and stored goods. A barrier counts only if it is fire-resistant and heat-insulating."""
    fire_resistant_room: bool | None = None
    """Matters above 112.5 kVA. Check the drawings, or the fire rating of the door and walls; a lock does not make it one."""
    far_from_combustibles: bool | None = None
    """Matters above 112.5 kVA. Tape to ceiling and goods too. A barrier: only fire-resistant and heat-insulating."""
    completely_enclosed_except_vents: bool | None = None
    """A case on all sides with no opening except the vents. A missing cover or an open knockout is a no."""
    live_parts_guarded: bool | None = None
    """Yes if a locked room or vault, a permanent fence or screen, or a height of 8 ft (up to 300 V) or 8 ft 6 in. keeps people away."""
    weatherproof_enclosure: bool | None = None
    """Outdoors: the enclosure is marked for it (3R or better)."""
    working_space_clear: bool | None = None
    """Stand where live parts would be worked on and check depth, width and height. Stored goods, shelves and pipes in it count."""
    working_space_depth_inches: Inches | None = None
    """Tape it from the front of the case straight out to whatever is there [in.]."""
    working_space_faces: Faces | None = None
    """Concrete, brick and tile walls count as grounded; so do pipes and metal cases. Wood and gypsum board do not."""
    dedicated_space_clear: bool | None = None
    """As wide and deep as the gear, up to 6 ft above it or to the structural ceiling: no pipes, ducts or other foreign equipment."""
    high_handle_beside_equipment_supplied: bool | None = None
    """Yes only if each handle that is too high is right beside what it supplies, such as a transformer hung high, and a ladder reaches it."""
    device_in_each_line: bool | None = None
    """On both sides. Breaker poles open together; a listed handle tie counts up to 120 V to ground. In the white or gray wire, only a pole that opens with all the others."""
    line_side_barriers: bool | None = None
    """Look only if the cover is off already: the bare lugs and bars that stay live with the main open. If the main is in an enclosure of its own ahead of the panelboard, answer yes."""
    outdoor_enclosures_weatherproof: bool | None = None
    """Disconnects, panelboards and boxes in the rain or in a wet place: closed, and marked 3R or better. If all of them are in dry places, answer yes."""
    device_height_within_reach: bool | None = None
    """Tape from the floor to the center of the grip in its highest position. Check both the primary device and the first disconnect."""
    voltage_ratings_enough: bool | None = None
    """Read each label. The voltage on it must not be below the voltage of the side it serves."""
    reverse_fed: bool | None = None
    """Follow the supply to its terminals. On X, the low-voltage side, it is a yes, whatever the drawings call the primary."""
    reverse_feed_marked: bool | None = None
    """Only what is printed, on the nameplate or in the instructions. A nameplate that gives the supply voltage as the primary is a yes. That it has run so for years does not count."""
    supplied_neutral_open: bool | None = None
    """Look at X0 (or H0) of the winding that is fed. Yes only if nothing lands on it: no supply neutral, no strap to the case."""
    torque_recorded: bool | None = None
    """Whether terminations were tightened to the marked torque by an approved means, on record or on someone's word. Do not re-torque to check."""
    lugs_marked_for_metal: bool | None = None
    """Look at the stamp on each lug where aluminum lands: AL or AL/CU. CU alone, or no stamp, is a no."""
    parallel_sets_alike: bool | None = None
    """The same length, metal, size, insulation and terminations: compare what is printed on each, and the lugs."""
    circuit_grouped: bool | None = None
    """Count at each raceway: every phase, the neutral, and the grounding or bonding wire."""
    tapped_ahead_of_device: bool | None = None
    """Look at the transformer's lugs and along the run: a wire that goes off to controls, lights or a meter is a tap."""
    ends_at_equipment_supplied: bool | None = None
    """No where wires go on from the lugs they land on, or a splice takes them to another panel."""
    supplies_switchboard: bool | None = None
    """Read the label of what they end at. A panelboard, however large, is a no."""
    outdoors_all_the_way: bool | None = None
    """Only the point where they end may be inside. A stretch through an attic, crawl space or basement is a no."""
    outside_disconnect_placed: bool | None = None
    """If it is inside, find where they come in: conductors that run on to a handier location are a no."""
    aluminum_clear_of_earth: bool | None = None
    """Aluminum electrode conductor, bond or bonding jumper: outdoors not terminated within 18 in. of the earth, and not bare against earth or masonry."""
    straight_rated_devices: bool | None = None
    """Yes if the label has one voltage, or no wire here has more to ground than the lower of its two. Where nothing is grounded, only one voltage will do."""
    electrode_conductor_protected: bool | None = None
    """Follow it end to end: a splice, a loose stretch, or a spot where carts or mowers can hit it is a no."""
    ferrous_raceway_bonded: bool | None = None
    """A magnet sticks to steel. Bonded at only one end is a no. If no steel is around it, answer yes."""
    electrode_at_outdoor_source: bool | None = None
    """Look at the transformer for a wire to a rod, ring or other electrode. One only at the building does not count."""
    water_pipe_near_entry: bool | None = None
    """Tape along the pipe from where it enters. Farther in, it is a yes only where all of the pipe is in sight and only qualified persons service it."""
    small_electrode_conductor_enclosed: bool | None = None
    """RMC, IMC, PVC, RTRC, EMT or cable armor, from one end to the other. Stapled to a joist is a no."""
    grounding_connections_sound: bool | None = None
    """Grounding and bonding lugs, clamps and bars, on bare metal. Sheet-metal screws, solder alone, or paint under a lug is a no."""
    knockouts_bonded: bool | None = None
    """Concentric or eccentric rings left in a knockout need a bonding bushing and jumper, unless the box is listed without. If no rings are left, answer yes."""
    insulating_fittings: bool | None = None
    """At each raceway end where 4 AWG or larger enters, look for a bushing, an insulated throat, or a smooth threaded hub."""
    phases_in_order: bool | None = None
    """By their colors: A, B, C from front to back, top to bottom or left to right. Another order is a yes only if it is marked."""
    high_leg_on_b: bool | None = None
    """The orange conductor lands on the middle bus. In the same section as a meter it may be on C: that is a yes."""
    high_leg_labeled: bool | None = None
    """A lasting label that says which phase, and its voltage to ground. An orange wire alone is a no."""
    no_parallel_neutral_path: bool | None = None
    """A metal raceway, cable sheath, water pipe or steel between the two ends is such a path. Yes: there is none."""
    ground_detector: bool | None = None
    """Look near the transformer and the first device for permanent lamps, meters or a relay. A handheld meter does not count."""
    ungrounded_marked: bool | None = None
    """At the transformer or on the first disconnect, with the voltage. A note on the drawings does not count."""
    ungrounded_labeled: bool | None = None
    """On the panelboard or switchboard itself: a lasting caution that the system is ungrounded, and the voltage between conductors. A mark at the transformer alone is a no."""
    high_leg_orange: bool | None = None
    """High-leg delta: the leg with the higher voltage to ground must be orange wherever the neutral is present."""
    high_leg_free_of_neutral_loads: bool | None = None
    """Look for single-pole breakers on the high leg: what they feed is connected to the neutral."""
    grounded_phase_identified: bool | None = None
    """White or gray at its ends, and solid through a fused switch: a fuse in that pole is a no."""
    enclosure_bonded: bool | None = None
    """Look for a wire, strap or bar on bare metal of the case. “Isolated ground” on the drawings never means the case."""
    anchored: bool | None = None
    """Look for bolts into the floor, a wall, a bracket or rods. Held by its own weight, or on pads alone, is a no."""
    shipping_parts_removed: bool | None = None
    """The manufacturer's instructions say which brackets come out. Look only inside what is open; debris in it is a no."""
    source_marked: bool | None = None
    """On its front or inside its door: what feeds it, not only its own name."""
    fault_current_marked: bool | None = None
    """Both: the figure, and the date it was calculated. The panelboard's own short-circuit rating does not count."""
    arc_flash_marked: bool | None = None
    """On the equipment itself; a sign on the door of the room does not count."""
    short_circuit_rating_marked: bool | None = None
    """A label put on after installation gives the rating with the breakers or fuses that are in it. The manufacturer's label alone is a no."""
    arc_flash_label_complete: bool | None = None
    """It gives the voltage, the arc-flash boundary, the incident energy or the protective equipment required, and a date. A plain warning is a no."""
    grounded_conductor_identified: bool | None = None
    """Look at both ends. Also a no where the phases do not keep their own colors or marks."""
    nonlinear_load: bool | None = None
    """Drives, computers and LED lighting are electronic; heaters and across-the-line motors are not."""
