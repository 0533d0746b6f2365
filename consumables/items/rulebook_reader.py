"""Reads a rule book from its TOML text and refuses it whole when a line cannot be trusted."""

import os
from dataclasses import fields
from functools import cache

from consumables.errors import BadRuleBook, NotFound
from consumables.items.book_citations import BookCitations
from consumables.items.book_table import BookTable, listed, toml_of
from consumables.items.materials import families
from consumables.items.rulebook import Parameters, Rule, RuleBook, When
from consumables.items.shelf_data import shipped_names, shipped_text
from consumables.words import Category, Route

__all__ = [
    "book_text",
    "find_book",
    "read_rule_book",
    "shipped",
    "shipped_about",
    "shipped_names",
]

ROUTES_OF = {
    Category.SINGLE_USE: {Route.BIN, Route.SHARPS, Route.DISPENSE},
    Category.REPLACEABLE_SURFACE: {Route.STRIP},
    Category.DISINFECTABLE: {
        Route.IMMERSE,
        Route.WIPE,
        Route.SPRAY,
        Route.LAUNDER,
        Route.STERILISE,
        Route.STORE_CLEAN,
    },
}
_KITS = ("no", "by-agreement")
_CHANGES = ("daily", "weekly", "cloudy", "label")


def find_book(name_or_path: str) -> RuleBook:
    """A shipped book by its name, or a shop's own copy by its path."""
    if name_or_path in shipped_names():
        return shipped(name_or_path)
    return read_rule_book(book_text(name_or_path), name_or_path)


def book_text(name_or_path: str) -> str:
    """The TOML text of a shipped book, or of a shop's own copy by its path."""
    if name_or_path in shipped_names():
        return shipped_text(name_or_path)
    if not os.path.exists(name_or_path):
        raise NotFound(
            f"There is no rule book called '{name_or_path}' and no such file. "
            f"Shipped are: {', '.join(shipped_names())}."
        )
    return _text_of(name_or_path)


@cache
def shipped(name: str) -> RuleBook:
    """One shipped book, read once; that none of its rules is dead is proved by a test."""
    return _read(_shipped_text(name), f"{name}.toml")


@cache
def shipped_about(name: str, kind: str) -> RuleBook:
    """A shipped book with only the rules that may speak of this noun: read several times faster.

    A rule without `kinds` may speak of everything; shipped books write nouns as the desk says them.
    """
    head, *rules = _shipped_text(name).split("\n[[rules]]\n")
    wanted = [one for one in rules if "kinds =" not in one or f"'{kind}'" in one]
    return _read("\n[[rules]]\n".join((head, *wanted)), f"{name}.toml")


def read_rule_book(text: str, where: str) -> RuleBook:
    """A rule book from its TOML text; `where` names the file in every complaint.

    Raises BadRuleBook for anything unknown, uncited, contradictory or never reached.
    """
    from consumables.items.book_faults import refuse_dead_rules

    book = _read(text, where)
    refuse_dead_rules(book.rules, where)
    return book


def _shipped_text(name: str) -> str:
    if name not in shipped_names():
        raise NotFound(f"No rule book called '{name}' comes with the tool.")
    return shipped_text(name)


def _read(text: str, where: str) -> RuleBook:
    table = BookTable(toml_of(text, where), where)
    table.only((*_names(RuleBook), "sources"))
    checked_on = table.day("checked_on")
    cites = BookCitations(table.table("sources"), checked_on)
    rules = tuple(_rule(one, cites) for one in table.tables("rules"))
    _refuse_twins(rules, where)
    return RuleBook(
        name=table.text("name"),
        title=table.text("title"),
        place=table.text("place"),
        edition=table.text("edition"),
        checked_on=checked_on,
        partial=table.truth("partial"),
        note=table.text("note"),
        parameters=_parameters(table.table("parameters"), cites),
        rules=rules,
    )


def _rule(table: BookTable, cites: BookCitations) -> Rule:
    table = table.within(f"rule '{table.text('rule_id')}'")
    table.only(_names(Rule))
    rule = Rule(
        rule_id=table.text("rule_id"),
        when=_when(table.table("when")),
        category=table.word("category", Category),
        route=table.word("route", Route),
        because=table.text("because"),
        cites=cites.of(table, "cites"),
        kit_allowed=table.truth("kit_allowed", False),
        banned=table.truth("banned", False),
        unsettled=table.truth("unsettled", False),
        against=cites.of(table, "against"),
    )
    _refuse_contradictions(rule, table)
    return rule


def _refuse_contradictions(rule: Rule, table: BookTable) -> None:
    if not rule.cites:
        table.refuse("has no citation in 'cites'; say where the rule stands")
    if rule.route not in ROUTES_OF[rule.category]:
        table.refuse(
            f"sends a {rule.category} thing to '{rule.route}'; "
            f"possible are {listed(ROUTES_OF[rule.category])}"
        )
    if rule.banned and rule.category is not Category.SINGLE_USE:
        table.refuse("is banned and so must be single-use")
    if rule.unsettled != bool(rule.against):
        table.refuse("needs both 'unsettled = true' and the other side in 'against', or neither")


def _refuse_twins(rules: tuple[Rule, ...], where: str) -> None:
    ids = [rule.rule_id for rule in rules]
    twins = sorted({one for one in ids if ids.count(one) > 1})
    if twins:
        raise BadRuleBook(f"{where}: rule '{twins[0]}' stands there twice; give one a new rule_id.")


def _when(table: BookTable) -> When:
    table.only(_names(When))
    if not table.values:
        table.refuse("has an empty 'when' and would speak of everything; say what it speaks of")
    for key in ("wholly", "not_wholly", "any_of"):
        unknown = set(table.texts(key)) - families()
        if unknown:
            table.refuse(
                f"names the material family '{sorted(unknown)[0]}' in '{key}', which is not "
                "in materials.toml"
            )
    return When(
        kinds=table.texts("kinds"),
        wholly=table.texts("wholly"),
        not_wholly=table.texts("not_wholly"),
        any_of=table.texts("any_of"),
        porous=table.maybe_truth("porous"),
        immersible=table.maybe_truth("immersible"),
        electric=table.maybe_truth("electric"),
    )


def _parameters(table: BookTable, cites: BookCitations) -> Parameters:
    table = table.within("[parameters]")
    table.only(_names(Parameters))
    kits = table.choice("same_client_kits", _KITS, "no")
    _refuse_idle_kit(kits, table)
    return Parameters(
        contact_minutes=table.count("contact_minutes", 10),
        label_overrides_minutes=table.truth("label_overrides_minutes", True),
        solution_change=table.choices("solution_change", _CHANGES),
        same_client_kits=kits,
        kit_container=table.text("kit_container", ""),
        kit_items=table.texts("kit_items"),
        kit_change=table.text("kit_change", ""),
        clients_own=table.text("clients_own", ""),
        uv_cabinet=table.text("uv_cabinet", ""),
        alcohol_accepted=table.maybe_truth("alcohol_accepted"),
        storage_labels=table.texts("storage_labels"),
        container_labels=table.pairs("container_labels"),
        clean_store=table.text("clean_store", ""),
        kill_claims=table.texts("kill_claims"),
        blood_waste=table.text("blood_waste", ""),
        foot_basin_log=table.truth("foot_basin_log", False),
        foot_basin_minutes=table.maybe_count("foot_basin_minutes"),
        steriliser_log=table.truth("steriliser_log", False),
        spore_test_days=table.maybe_count("spore_test_days"),
        pouch_days=table.maybe_count("pouch_days"),
        retention_days=table.maybe_count("retention_days"),
        retention_of=table.text("retention_of", ""),
        cites=cites.of(table, "cites"),
    )


def _refuse_idle_kit(kits: str, table: BookTable) -> None:
    """A kit's container, items and change mean nothing where kits are not allowed at all."""
    told = [key for key in ("kit_container", "kit_items", "kit_change") if key in table.values]
    if kits == "no" and told:
        table.refuse(f"has '{told[0]}' although same_client_kits is 'no'")


def _text_of(path: str) -> str:
    try:
        with open(path, encoding="utf-8-sig") as file:
            return file.read()
    except (OSError, UnicodeDecodeError) as problem:
        raise BadRuleBook(
            f"{path}: the file cannot be read as UTF-8 text. Check the path and save it as UTF-8."
        ) from problem


@cache
def _names(kind: type) -> tuple[str, ...]:
    return tuple(field.name for field in fields(kind))
