"""What may happen to an item after a client: the mark, the book, the material; else a question.

Pure: the same item and books always give the same verdict. The decision order is
1 do-not-re-use mark or blade, then what is dispensed, 2 named in the book in force,
3 porous and cannot come off, 4 porous comes off a hard core, 5 and 6 not porous,
7 not known: a question. Contamination (8) is `classify_contaminated`.
"""

from collections.abc import Sequence
from dataclasses import replace

from consumables.items.aftermath import Aftermath, classify_contaminated
from consumables.items.general_order import step
from consumables.items.item import Item
from consumables.items.made_of import SeenItem, SeenPart
from consumables.items.matching import (
    banning_rules,
    deciding_rule,
    leans_on_unknowns,
    passed_over,
)
from consumables.items.rulebook import Citation, Rule, RuleBook
from consumables.items.trade_words import kind_of
from consumables.items.verdict import BookOpinion, Reason, Verdict
from consumables.words import Category, Confidence, Route

__all__ = ["Aftermath", "classify", "classify_contaminated"]

_IMMERSION = "May it lie fully covered in disinfectant solution without harm?"
_TEXTILES = {"cotton", "woven"}


def classify(item: Item, book: RuleBook, others: Sequence[RuleBook] = ()) -> Verdict:
    """The verdict on an item under the book in force, beside what other books say of it."""
    seen = SeenItem(item)
    verdict = _decide(seen, book)
    elsewhere = [other for other in others if other.name != book.name]
    return replace(
        verdict,
        reasons=verdict.reasons + tuple(map(_part_reason, seen.parts)),
        banned=_banned_sentence(seen, book, elsewhere),
        banned_here=bool(banning_rules(seen, book)),
        disagree=_disagreement(verdict, seen, elsewhere),
        cautions=_cautions(item),
        partial_book=book.partial,
    )


def _cautions(item: Item) -> tuple[str, ...]:
    if not item.grits:
        return ()
    from consumables.items.grit import coarse_face_caution

    caution = coarse_face_caution(item)
    return (caution,) if caution else ()


def _decide(seen: SeenItem, book: RuleBook) -> Verdict:
    marked = _by_mark(seen, book)
    if marked:
        return marked
    rule = deciding_rule(seen, book)
    return _by_rule(seen, book, rule) if rule else _by_general_order(seen, book)


def _by_mark(seen: SeenItem, book: RuleBook) -> Verdict | None:
    """Step 1, and what is dispensed: neither a book nor a material can change it."""
    item = seen.item
    if item.sharp:
        return _verdict(seen, book, "sharp", Category.SINGLE_USE, Route.SHARPS)
    if item.do_not_reuse:
        return _verdict(seen, book, "mark", Category.SINGLE_USE, Route.BIN)
    if item.dispensed:
        return _verdict(seen, book, "dispensed", Category.SINGLE_USE, Route.DISPENSE)
    return None


def _by_rule(seen: SeenItem, book: RuleBook, rule: Rule) -> Verdict:
    """Step 2: the book in force names it."""
    core = Route.WIPE if seen.immersible is False else Route.IMMERSE
    return Verdict(
        item_id=seen.item.item_id,
        book=book.name,
        category=rule.category,
        route=rule.route,
        core_route=core if rule.route is Route.STRIP else None,
        reasons=(Reason("book", f"{book.title}: {rule.because}", rule.rule_id, rule.cites),),
        questions=seen.questions if leans_on_unknowns(rule.when, seen) else (),
        conflict=_conflict(rule) if rule.unsettled else "",
        kit_allowed=rule.kit_allowed and _in_kits(seen, book),
        porous=seen.porous is not False,
    )


def _in_kits(seen: SeenItem, book: RuleBook) -> bool:
    """Whether the book agrees to same-client kits at all, and to things of this noun in them."""
    asked = book.parameters
    named = [kind_of(kind) for kind in asked.kit_items]
    return asked.same_client_kits != "no" and (not named or seen.kind in named)


def _by_general_order(seen: SeenItem, book: RuleBook) -> Verdict:
    """Steps 3 to 7: what the parts themselves allow."""
    if seen.made_for_one_use:
        return _verdict(seen, book, "one-use", Category.SINGLE_USE, Route.BIN)
    if _is_laundry(seen):
        return _verdict(seen, book, "launder", Category.DISINFECTABLE, Route.LAUNDER)
    if porous_step := _porous_step(seen):
        asked = _all_questions(seen) if passed_over(seen, book) else ()
        return _verdict(seen, book, porous_step, Category.SINGLE_USE, Route.BIN, questions=asked)
    if asked := _all_questions(seen):
        return _verdict(seen, book, "question", Category.SINGLE_USE, Route.BIN, questions=asked)
    if seen.two_part:
        return _verdict(seen, book, "two-part", Category.REPLACEABLE_SURFACE, Route.STRIP)
    return _verdict(seen, book, _cleaning(seen).value, Category.DISINFECTABLE, _cleaning(seen))


def _is_laundry(seen: SeenItem) -> bool:
    cloth = bool(seen.parts) and all(set(part.families) <= _TEXTILES for part in seen.parts)
    return seen.item.launderable and cloth and not seen.questions


def _porous_step(seen: SeenItem) -> str:
    """Step 3: "porous" or "handled" when a porous part stays on, else an empty text."""
    stuck = [p for p in seen.parts if p.porous and (not p.part.removable or not seen.two_part)]
    if not stuck:
        return ""
    return "porous" if any(part.part.touches_client for part in stuck) else "handled"


def _all_questions(seen: SeenItem) -> tuple[str, ...]:
    """Step 7: what somebody must answer before anything may be kept, materials first."""
    return seen.questions or ((_IMMERSION,) if seen.immersible is None else ())


def _cleaning(seen: SeenItem) -> Route:
    """Steps 5 and 6: how what stays is disinfected."""
    return Route.IMMERSE if seen.immersible else Route.WIPE


def _verdict(
    seen: SeenItem,
    book: RuleBook,
    step_name: str,
    category: Category,
    route: Route,
    questions: tuple[str, ...] = (),
) -> Verdict:
    why = step(step_name)
    return Verdict(
        item_id=seen.item.item_id,
        book=book.name,
        category=category,
        route=route,
        core_route=_cleaning(seen) if route is Route.STRIP else None,
        reasons=(Reason(_REASON_STEPS.get(step_name, step_name), why.because, "", why.cites),),
        questions=questions,
        porous=seen.porous is not False,
    )


_REASON_STEPS = {
    "sharp": "mark",
    "handled": "porous",
    "immerse": "non-porous",
    "wipe": "non-porous",
}


def _part_reason(seen: SeenPart) -> Reason:
    """What is known of one part, and from where."""
    name, said = seen.part.name, seen.part.material or "material not stated"
    if seen.porous is None:
        return Reason("question", f"{name}: {said}. {seen.question}")
    answer = "porous" if seen.porous else "not porous"
    by_list = seen.part.porous is None
    known = "by the material list" if by_list else "as stated for this item"
    cites = tuple(map(_list_citation, seen.read.sources)) if by_list else ()
    return Reason(
        "porous" if seen.porous else "non-porous", f"{name}: {said}, {answer} {known}.", "", cites
    )


def _list_citation(source: str) -> Citation:
    if source.startswith(Confidence.PRACTICE):
        return Citation("the desk's material list", confidence=Confidence.PRACTICE)
    return Citation(source, confidence=Confidence.DERIVED)


def _conflict(rule: Rule) -> str:
    return (
        f"The sources differ: {_sections(rule.cites)} against {_sections(rule.against)}. "
        "The strict answer stands until you or your board settle it."
    )


def _banned_sentence(seen: SeenItem, book: RuleBook, others: Sequence[RuleBook]) -> str:
    """Which books ban the item, the book in force first; empty when none does."""
    here = [
        f"Banned under {book.title} ({_sections(rule.cites)}): {rule.because}"
        for rule in banning_rules(seen, book)
    ]
    elsewhere = [
        f"{other.title}, {_sections(rule.cites)}"
        for other in others
        for rule in banning_rules(seen, other)
    ]
    also = [f"Banned by other books: {'; '.join(elsewhere)}."] if elsewhere else []
    return " ".join(here + also)


def _disagreement(
    verdict: Verdict, seen: SeenItem, others: Sequence[RuleBook]
) -> tuple[BookOpinion, ...]:
    """What other books say by a rule of their own; silence or a question is no disagreement."""
    decided = [(_decide(seen, other), other.partial) for other in others]
    said = [(one, partial) for one, partial in decided if one.reasons[0].rule_id]
    return tuple(
        BookOpinion(one.book, one.category, one.route, partial)
        for one, partial in said
        if not one.questions and (one.category, one.route) != (verdict.category, verdict.route)
    )


def _sections(cites: Sequence[Citation]) -> str:
    return "; ".join(cite.section for cite in cites)
