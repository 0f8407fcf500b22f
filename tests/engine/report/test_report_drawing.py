"""The bonding drawing shows each bond's state by line, mark and word, never by colour alone."""

import re
from xml.etree import ElementTree

import pytest
from conftest import Printed

from engine import Result
from engine.report import drawing_svg, drawing_text

SVG = "{http://www.w3.org/2000/svg}"
PLACES = ("source", "first_disconnect", "both", "none")


def parsed(result: Result) -> ElementTree.Element:
    return ElementTree.fromstring(drawing_svg(result))


def marks(root: ElementTree.Element) -> list[str]:
    """The looks of the marks in the picture; the key at its foot, one of each, is left out."""
    found = [
        g.get("class", "").removeprefix("mark ")
        for g in root.iter(f"{SVG}g")
        if "mark" in g.get("class", "")
    ]
    for look in ("sound", "wrong", "missing", "unknown"):
        found.reverse()
        found.remove(look)
        found.reverse()
    return found


def words(root: ElementTree.Element) -> str:
    return " ".join(" ".join(t.itertext()) for t in root.iter(f"{SVG}text"))


def line(root: ElementTree.Element, look: str) -> tuple[str | None, str | None, str | None]:
    path = next(p for p in root.iter(f"{SVG}path") if p.get("class") == f"conductor {look}")
    return path.get("stroke-width"), path.get("stroke-dasharray"), path.get("stroke-linecap")


def test_one_bond_in_order_is_marked_as_the_one_bonding_point(bonded: Printed) -> None:
    # Source: 250.30(A)(1): one system bonding jumper, at the source or at the first disconnect.
    result = bonded()
    root = parsed(result)
    # The primary equipment grounding conductor depends on facts of the primary run, which are not known here.
    primary, *others = marks(root)
    assert primary == "unknown"
    assert set(others) == {"sound"}
    assert "The one bonding point" in words(root)
    assert "no bond here" in words(root)
    assert "Kept apart" in words(root)
    assert sum(c.get("class", "").endswith("bonding-point") for c in root.iter(f"{SVG}circle")) == 1


def test_a_second_bond_is_drawn_at_its_place_and_called_one_of_two(bonded: Printed) -> None:
    # Source: 250.30(A)(1): only one, but for the outdoor exception.
    result = bonded(bonding__system_bonding_jumper__location="both")
    root = parsed(result)
    assert marks(root).count("wrong") == 2
    assert "Bond 1 of 2: does not meet" in words(root)
    assert "Bond 2 of 2: does not meet" in words(root)
    assert "The one bonding point" not in words(root)
    assert "Two bonds between neutral and metal" in drawing_text(result)


def test_a_bond_downstream_is_drawn_as_one_too_many(bonded: Printed) -> None:
    # Source: 250.142(B), 250.24(B) in 2023: neutral and ground stay apart past the bonding point.
    result = bonded(bonding__neutral_bonded_downstream=True)
    root = parsed(result)
    assert marks(root).count("wrong") == 1
    assert "One bond too many" in words(root)
    assert "joined again" in drawing_text(result)


def test_a_missing_jumper_is_drawn_as_a_gap_with_its_own_mark_and_word(bonded: Printed) -> None:
    # Source: 250.30(A)(2): a supply-side bonding jumper where source and first disconnect are apart.
    result = bonded(
        secondary__raceway__type="PVC40", bonding__supply_side_bonding_jumper={"kind": "none"}
    )
    root = parsed(result)
    assert marks(root).count("missing") == 1
    assert "Supply-side bonding jumper Missing" in words(root)
    assert "Supply-side bonding jumper: Missing." in drawing_text(result)


def test_no_bond_at_all_is_drawn_as_missing_at_both_places(bonded: Printed) -> None:
    # Source: 250.20(B), 250.30(A)(1): a 208Y/120 V system must be grounded.
    root = parsed(bonded(bonding__system_bonding_jumper={"location": "none"}))
    assert marks(root).count("missing") == 2
    assert words(root).count("No bond found") == 2


def test_an_electrode_conductor_elsewhere_breaks_the_one_point(bonded: Printed) -> None:
    # Source: 250.30(A)(5): connected at the same point as the system bonding jumper.
    result = bonded(electrode__connected_at="source")
    root = parsed(result)
    assert "Not one point: electrode elsewhere" in words(root)
    assert "wrong" in marks(root)
    assert "One bonding point, at the first disconnect: Does not meet." in drawing_text(result)


def test_a_conductor_too_small_is_drawn_unlike_one_that_is_missing_or_unknown(
    bonded: Printed, bare: Printed
) -> None:
    # Source: Table 250.102(C)(1): 4/0 AWG copper asks for 2 AWG copper; 6 AWG is too small.
    small = parsed(bonded(bonding__supply_side_bonding_jumper__size="6"))
    assert marks(small).count("wrong") == 1
    assert "6 AWG copper Does not meet" in words(small)
    looks = {
        "sound": line(small, "sound"),
        "wrong": line(small, "wrong"),
        "missing": line(
            parsed(
                bonded(
                    secondary__raceway__type="PVC40",
                    bonding__supply_side_bonding_jumper={"kind": "none"},
                )
            ),
            "missing",
        ),
        "unknown": line(parsed(bare()), "unknown"),
    }
    assert len(set(looks.values())) == len(looks)
    shapes = {
        look: tuple(p.get("d") for p in g.iter(f"{SVG}path"))
        for g in small.iter(f"{SVG}g")
        if (look := g.get("class", "").removeprefix("mark ")) in looks
    }
    assert shapes["sound"] != shapes["wrong"] != shapes["unknown"] != shapes["sound"]


def test_nothing_known_is_drawn_as_nothing_known(bare: Printed) -> None:
    result = bare()
    root = parsed(result)
    assert set(marks(root)) <= {"unknown"}
    assert "Bonded here? Not known" in words(root)
    assert "Joined again? Not known" in words(root)
    assert "Meets" not in words(root)
    assert "Meets" not in drawing_text(result)


def test_an_ungrounded_system_shows_no_neutral_and_no_bond(bonded: Printed) -> None:
    # Source: 250.30(B): an ungrounded system has an electrode and bonded metal, and no system bonding jumper.
    root = parsed(
        bonded(
            transformer__secondary_system="delta_3_wire_ungrounded",
            transformer__secondary_volts=480,
            bonding__system_bonding_jumper={"location": "none"},
            secondary__grounded_conductor={},
        )
    )
    said = words(root)
    assert "neutral" not in said.lower()
    assert "bonding point" not in said
    assert "Grounding electrode conductor" in said


@pytest.mark.parametrize("place", PLACES)
def test_each_size_is_written_on_the_drawing(bonded: Printed, place: str) -> None:
    result = bonded(
        bonding__system_bonding_jumper={"location": place, "size": "1/0", "material": "copper"},
        bonding__supply_side_bonding_jumper={"kind": "wire", "size": "3/0", "material": "aluminum"},
        electrode__conductor={"size": "1", "material": "copper"},
        bonding__water_pipe_bond={"present": True, "size": "3", "material": "copper"},
        bonding__structural_steel_bond={"present": True, "size": "4", "material": "copper"},
    )
    said = words(parsed(result))
    sizes = ["3/0 AWG", "1 AWG copper", "3 AWG copper", "4 AWG copper", "4/0 AWG copper"]
    if place != "none":
        sizes.append("1/0 AWG copper")
    for size in sizes:
        assert size in said, size


@pytest.mark.parametrize("place", PLACES)
@pytest.mark.parametrize("downstream", [True, False, None])
def test_the_words_name_every_part_and_its_state(
    bonded: Printed, place: str, downstream: bool | None
) -> None:
    # Source: WCAG 2.2 (W3C), 1.1.1 Non-text Content: a text alternative that serves the same purpose.
    result = bonded(
        bonding__system_bonding_jumper__location=place,
        bonding__neutral_bonded_downstream=downstream,
    )
    text = drawing_text(result)
    states = "Meets|Does not meet|Missing|Can't tell|Does not apply|None, does not apply"
    for part in result.drawing.parts:
        [said] = [one for one in text.split("\n") if one.startswith(part.label)]
        assert re.search(rf"({states})\.", said), said
        if part.state == "does_not_meet":
            assert re.search(r"(Does not meet|Missing)\.", said), said
        if part.state == "meets" and place != "none":
            assert "Meets." in said


def test_as_many_ungrounded_conductors_are_drawn_as_there_are(bonded: Printed) -> None:
    # Source: own count: one to each winding end of a single phase, one to each of three phases.
    upright = r'd="M([\d.]+) 48V112"'
    assert len(re.findall(upright, drawing_svg(bonded()))) == 3
    single = bonded(
        transformer={
            "kva": 25,
            "phases": 1,
            "primary_volts": 480,
            "secondary_volts": 240,
            "secondary_system": "single_phase_3_wire",
        }
    )
    assert len(re.findall(upright, drawing_svg(single))) == 2


def test_the_picture_is_one_image_with_title_and_words_inside(bonded: Printed) -> None:
    # Source: SVG Accessibility API Mappings (W3C): role img, title and desc give name and description.
    result = bonded()
    root = parsed(result)
    assert root.tag == f"{SVG}svg"
    assert root.get("role") == "img"
    assert root[0].tag == f"{SVG}title"
    assert root[0].text
    assert root[1].tag == f"{SVG}desc"
    assert root[1].text == drawing_text(result)
    assert root.get("width")
    assert root.get("viewBox")


def test_no_state_depends_on_colour(bonded: Printed) -> None:
    # Source: WCAG 2.2 (W3C), 1.4.1 Use of Color.
    root = parsed(bonded(bonding__system_bonding_jumper__location="both"))
    paints = {e.get(name) for e in root.iter() for name in ("fill", "stroke")} - {None}
    assert paints <= {"none", "currentColor", "#fff"}


def test_hostile_text_in_a_part_stays_text_and_the_drawing_well_formed(bonded: Printed) -> None:
    # Source: XML 1.0 (W3C), fifth edition: well-formedness.
    result = bonded()
    words_ = "<script>alert(1)</script>]]>&\x00\ud800"
    drawn = result.drawing.model_copy(
        update={
            "system": words_,
            "electrode": words_,
            "parts": [
                part.model_copy(update={"size": words_, "label": words_})
                for part in result.drawing.parts
            ],
        }
    )
    root = parsed(result.model_copy(update={"drawing": drawn}))
    assert not [e for e in root.iter() if e.tag.endswith("script")]
    assert "<script>" in words(root)


def test_the_drawing_is_the_same_every_time(bonded: Printed) -> None:
    result = bonded()
    assert drawing_svg(result) == drawing_svg(Result.model_validate_json(result.model_dump_json()))


def test_a_conductor_whose_connection_nobody_saw_is_drawn_in_the_open(bonded: Printed) -> None:
    # Unknown never passes: the line may not be seen to land where the jumper is.
    result = bonded(electrode__connected_at=None)
    root = parsed(result)
    assert "connects where?" in words(root)
    assert "The one bonding point" not in words(root)
    known, unknown = parsed(bonded()), root
    landed = [p.get("d") for p in known.iter(f"{SVG}path") if p.get("class") == "conductor sound"]
    assert {d for d in landed if d.endswith("L132 824")} - {
        p.get("d") for p in unknown.iter(f"{SVG}path")
    }
