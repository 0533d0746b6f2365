"""How each step at the sink is worded in the record: what it was, with which thing, and how."""

from consumables.ledger import wash_events as sink

WHAT = {
    sink.Cleaned: "cleaned",
    sink.UltrasonicCleaned: "ultrasonic",
    sink.TreatmentStarted: "in treatment",
    sink.ClockRestarted: "clock restarted",
    sink.Treated: "ready",
    sink.Pouched: "pouched",
    sink.SentBack: "sent back",
    sink.Inspected: "looked over",
    sink.SolutionMixed: "jar mixed",
    sink.SolutionDiscarded: "jar emptied",
    sink.SteriliserLoaded: "load started",
    sink.LoadChecked: "load out",
    sink.SporeTestTaken: "spore test taken",
    sink.SporeTestRead: "spore test read",
    sink.BasinCleaned: "basin cleaned",
}
_NAMES = ("piece_id", "jar_id", "load_id", "test_id", "basin")


def thing(event: object) -> str:
    """The piece, jar, load, test or basin that a step is about."""
    return next((str(name) for field in _NAMES if (name := getattr(event, field, ""))), "")


def detail(event: object) -> str:
    """The figures and reasons of a step, in words."""
    match event:
        case sink.TreatmentStarted():
            level = "blood level" if event.blood_level else ""
            told = (str(event.route), f"{event.minutes} min", level, event.jar_id, event.load_id)
            return _joined(*told)
        case sink.ClockRestarted():
            return _joined(event.jar_id, f"{event.added} added" if event.added else "")
        case sink.UltrasonicCleaned():
            return _joined(f"{event.minutes} min", event.jar_id)
        case sink.SolutionMixed():
            return _mixed(event)
        case sink.Pouched():
            return f"keeps until {event.keep_until}" if event.keep_until else "until torn or wet"
        case sink.SteriliserLoaded():
            return f"{event.method}, {event.minutes} min at {event.temperature} {event.scale}"
        case sink.LoadChecked():
            return f"indicator {event.indicator}"
        case sink.BasinCleaned():
            return f"{event.moment}, {event.minutes} min"
        case sink.Inspected():
            return event.found or "nothing found"
    return _said(event)


def _said(event: object) -> str:
    words = (getattr(event, name, "") for name in ("how", "because", "result"))
    return _joined(*map(str, words))


def _mixed(event: sink.SolutionMixed) -> str:
    return _joined(
        event.purpose if event.purpose != "disinfect" else "",
        f"{event.total_ml} ml" if event.total_ml else "",
        f"1:{event.parts_water:g}",
        event.label,
        f"{event.contact_minutes} min",
        f"change by {event.change_by:%Y-%m-%d %H:%M}",
    )


def _joined(*words: str) -> str:
    return ", ".join(word for word in words if word)
