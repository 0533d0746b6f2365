"""Verdicts a technician would recognise, one step of the decision order at a time."""

from dataclasses import replace

import pytest

from consumables.items.classify import classify, classify_contaminated
from consumables.items.item import Item, Part
from consumables.items.rulebook import RuleBook
from consumables.items.rulebook_reader import shipped, shipped_names
from consumables.items.verdict import BookOpinion, Verdict
from consumables.words import Category, Confidence, Route

STRICT = shipped("strict-majority")
ALL = tuple(map(shipped, shipped_names()))


def thing(kind: str = "", *parts: Part, immersible: bool | None = True) -> Item:
    return Item("thing", kind or "thing", kind, parts, immersible)


def made_of(material: str, kind: str = "", immersible: bool | None = True) -> Item:
    return thing(kind, Part("body", material), immersible=immersible)


def peel_off(core: str, kind: str = "nail file", immersible: bool | None = True) -> Item:
    surface = Part("surface", "abrasive paper", removable=True)
    return thing(kind, Part("core", core), surface, immersible=immersible)


def under(name: str, item: Item) -> Verdict:
    return classify(item, shipped(name))


def test_a_sterile_pusher_marked_do_not_reuse_goes_although_it_is_steel() -> None:
    verdict = classify(replace(made_of("steel", "pusher"), do_not_reuse=True), STRICT)
    assert verdict.category is Category.SINGLE_USE
    assert verdict.reasons[0].step == "mark"
    assert "ISO 15223-1" in verdict.reasons[0].cites[0].section


def test_a_foam_buffer_is_for_one_client_but_texas_and_indiana_are_not_alike() -> None:
    foam = made_of("foam", "buffer")
    verdict = classify(foam, STRICT, ALL)
    said = {one.book: (one.category, one.route) for one in verdict.disagree}
    assert said == {"us-texas": (Category.DISINFECTABLE, Route.SPRAY)}


def test_a_book_that_is_silent_does_not_disagree() -> None:
    silicone = made_of("silicone", "toe separator")
    said = {one.book for one in classify(silicone, STRICT, ALL).disagree}
    assert said == {"us-ohio"}
    assert classify(made_of("steel", "nipper", immersible=None), STRICT, ALL).disagree == (
        BookOpinion("us-texas", Category.DISINFECTABLE, Route.STERILISE, partial=True),
    )


def test_a_porous_file_is_sprayed_in_texas_and_indiana_and_binned_in_california() -> None:
    board = made_of("abrasive on cardboard", "nail file", immersible=False)
    assert under("us-texas", board).route is Route.SPRAY
    assert under("us-indiana", board).route is Route.SPRAY
    assert under("us-california", board).route is Route.BIN


def test_a_peel_off_surface_on_steel_is_stripped_and_the_core_immersed() -> None:
    verdict = classify(peel_off("stainless steel"), STRICT)
    assert verdict.category is Category.REPLACEABLE_SURFACE
    assert (verdict.route, verdict.core_route) == (Route.STRIP, Route.IMMERSE)


def test_a_core_that_may_not_lie_in_solution_is_wiped() -> None:
    assert classify(peel_off("steel", immersible=False), STRICT).core_route is Route.WIPE


@pytest.mark.parametrize("core", ["cardboard", "birch wood", "foam"])
def test_a_peel_off_surface_on_a_porous_core_goes_whole(core: str) -> None:
    assert classify(peel_off(core), STRICT).category is Category.SINGLE_USE


def test_lenient_texas_still_strips_a_peel_off_surface() -> None:
    assert under("us-texas", peel_off("steel")).category is Category.REPLACEABLE_SURFACE


def test_oklahoma_read_strictly_throws_the_core_away_too() -> None:
    for kind in ("nail file", "file core"):
        assert under("us-oklahoma", peel_off("steel", kind)).category is Category.SINGLE_USE


def test_a_core_with_its_grit_off_is_a_plain_metal_tool() -> None:
    verdict = classify(made_of("steel", "file core"), STRICT)
    assert (verdict.category, verdict.route) == (Category.DISINFECTABLE, Route.IMMERSE)


def test_a_plastic_core_waits_for_an_answer_on_immersion() -> None:
    verdict = classify(peel_off("hard plastic", immersible=None), STRICT)
    assert verdict.category is Category.SINGLE_USE
    assert "solution" in verdict.questions[0]


def test_a_grit_that_cannot_be_taken_off_a_metal_file_makes_it_single_use() -> None:
    glued = thing("nail file", Part("body", "steel"), Part("surface", "abrasive paper"))
    assert classify(glued, STRICT).category is Category.SINGLE_USE


def test_a_porous_handle_that_no_client_touches_is_still_not_kept() -> None:
    handle = Part("handle", "cork", touches_client=False)
    verdict = classify(thing("pusher", Part("body", "steel"), handle), STRICT)
    assert verdict.category is Category.SINGLE_USE
    assert "hands carry" in verdict.reasons[0].sentence


def test_gloves_are_for_one_client_under_every_book_though_they_are_not_porous() -> None:
    glove = made_of("nitrile", "glove")
    assert {classify(glove, book).category for book in ALL} == {Category.SINGLE_USE}


def test_a_glove_with_no_kind_given_is_known_by_its_name() -> None:
    glove = Item("g", "Nitrile gloves, size M", "", (Part("body", "nitrile"),), True)
    assert classify(glove, STRICT).category is Category.SINGLE_USE


def test_a_lamp_runs_on_current_and_is_wiped_without_asking() -> None:
    lamp = replace(made_of("hard plastic", "lamp", immersible=None), electric=True)
    verdict = classify(lamp, STRICT)
    assert (verdict.route, verdict.questions) == (Route.WIPE, ())


def test_an_electric_thing_is_never_sent_to_the_autoclave() -> None:
    pusher = replace(made_of("steel", "pusher", immersible=None), electric=True)
    assert under("us-texas", pusher).route is Route.WIPE


def test_cloth_made_to_be_washed_is_laundered_even_when_no_rule_names_it() -> None:
    wrap = replace(made_of("cotton", "arm wrap"), launderable=True)
    assert classify(wrap, STRICT).route is Route.LAUNDER


def test_bare_ceramic_is_asked_about_because_only_glazed_ceramic_has_no_pores() -> None:
    verdict = classify(made_of("ceramic", "finger bowl"), STRICT)
    assert verdict.category is Category.SINGLE_USE
    assert "both kinds" in verdict.questions[0]


def test_an_unlisted_word_in_a_material_is_asked_about() -> None:
    verdict = classify(made_of("steel with zorbium", "nipper"), STRICT)
    assert "zorbium" in verdict.questions[0]


def test_an_unlisted_material_that_somebody_calls_not_porous_is_believed() -> None:
    said = thing("wand", Part("body", "zorbium", porous=False))
    assert classify(said, STRICT).category is Category.DISINFECTABLE


def test_wood_that_somebody_calls_not_porous_is_not_believed() -> None:
    said = thing("wand", Part("body", "wood", porous=False))
    verdict = classify(said, STRICT)
    assert verdict.category is Category.SINGLE_USE
    assert "which is right?" in verdict.questions[0]


def test_the_material_list_is_named_where_it_settled_porosity() -> None:
    reasons = classify(made_of("silicone", "wand"), STRICT).reasons
    assert "by the material list" in reasons[-1].sentence
    assert reasons[-1].cites[0].confidence is Confidence.PRACTICE


def test_a_glass_file_with_a_cork_handle_shows_both_sides_of_the_quarrel() -> None:
    handle = Part("handle", "cork", touches_client=False)
    glass = thing("nail file", Part("body", "glass"), handle, immersible=False)
    verdict = classify(glass, STRICT)
    assert verdict.category is Category.SINGLE_USE
    assert "175:10-7-30" in verdict.conflict
    assert "Windsor-Essex" in verdict.conflict


def test_a_rasp_is_banned_here_and_the_bodies_that_bar_it_are_named() -> None:
    verdict = classify(made_of("steel", "rasp"), STRICT)
    assert verdict.banned_here
    for body in ("Okla.", "Iowa", "Minn."):
        assert body in verdict.banned


def test_a_rasp_is_allowed_in_texas_but_the_bans_elsewhere_are_told() -> None:
    verdict = classify(made_of("steel", "rasp"), shipped("us-texas"), ALL)
    assert verdict.route is Route.SPRAY
    assert not verdict.banned_here
    assert "Banned by other books" in verdict.banned
    assert "Oklahoma (partial copy), Okla. Admin. Code" in verdict.banned


def test_a_banned_blade_is_found_even_where_the_sharps_box_decides() -> None:
    verdict = classify(replace(made_of("steel", "callus blade"), sharp=True), STRICT)
    assert (verdict.route, verdict.banned_here) == (Route.SHARPS, True)


def test_a_file_may_be_kept_for_the_same_client_only_where_kits_can_be_agreed() -> None:
    board = made_of("abrasive on cardboard", "emery board", immersible=False)
    kept = {book.name for book in ALL if classify(board, book).kit_allowed}
    assert kept == {"ca-ontario"}


def test_a_kit_may_hold_only_the_nouns_that_were_agreed() -> None:
    ontario = shipped("ca-ontario")
    agreed = replace(ontario.parameters, kit_items=("hand file",))
    book = replace(ontario, parameters=agreed)
    file, board = made_of("abrasive on foam", "nail file"), made_of("", "emery board")
    assert under("ca-ontario", board).kit_allowed
    assert classify(file, book).kit_allowed
    assert not classify(board, book).kit_allowed


def test_a_varnished_paddle_is_disinfected_in_ontario_only_if_it_may_be_immersed() -> None:
    def paddle(immersible: bool | None) -> Item:
        return made_of("varnished abrasive", "foot paddle", immersible=immersible)

    assert under("ca-ontario", paddle(True)).route is Route.IMMERSE
    assert under("ca-ontario", paddle(False)).category is Category.SINGLE_USE
    assert "solution" in under("ca-ontario", paddle(None)).questions[0]


def test_laundered_cotton_that_met_blood_is_discarded() -> None:
    towel = replace(made_of("cotton", "towel"), launderable=True)
    verdict = classify(towel, STRICT)
    assert verdict.route is Route.LAUNDER
    assert classify_contaminated(verdict, towel).discard_now


def test_a_buffer_that_met_broken_skin_is_discarded_even_in_texas() -> None:
    foam = made_of("foam", "buffer")
    verdict = under("us-texas", foam)
    assert verdict.category is Category.DISINFECTABLE
    assert classify_contaminated(verdict, foam).discard_now


def test_a_book_without_rules_still_leaves_the_general_order() -> None:
    empty: RuleBook = replace(STRICT, rules=())
    assert classify(made_of("steel", "nipper"), empty).route is Route.IMMERSE
    assert classify(made_of("foam", "buffer"), empty).category is Category.SINGLE_USE


def test_ontario_names_foam_before_it_names_foot_files() -> None:
    foam = made_of("foam", "foot file")
    assert under("ca-ontario", foam).reasons[0].rule_id == "foam-and-sponge-cores"
