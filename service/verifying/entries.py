"""Cables in their ports."""

from __future__ import annotations

from collections import Counter

from service.verifying.facts import Facts
from service.verifying.members import Member
from service.verifying.report import Findings


def check_ports(plan: Member, facts: Facts, findings: Findings) -> None:
    """Every cable enters once, an express cable twice, through a port that takes its diameter and so many cables."""
    names = {f"{port}-{n}": model for port, model in facts.ports.items() for n in range(1, model.count + 1)}
    entries: Counter[str] = Counter()
    found: dict[str, set[str]] = {}
    used: set[str] = set()
    for use in plan["ports"].each():
        name = use["port"].text()
        tags = [(tag, tag.text()) for tag in use["cables"].each()]
        diameters = [od.number() for od in use["od_mm"].each()]
        if name not in names or name in used:
            findings.breach(f"{use.pointer}/port", f"the closure has no port {name}, or it stands there twice")
            continue
        used.add(name)
        port = names[name]
        findings.expect(0 < len(tags) <= port.cables, f"{use.pointer}/cables", f"the port takes {port.cables} cables")
        known = []
        for member, tag in tags:
            entries[tag] += 1
            found.setdefault(tag, set()).add(name)
            if tag not in facts.cables:
                findings.breach(member.pointer, f"no cable {tag} is at the splice point")
                continue
            od = facts.cables[tag].od
            known.append(od)
            findings.expect(
                port.od_min <= od <= port.od_max,
                member.pointer,
                f"{tag} is {od:g} mm thick and the port takes {port.od_min:g} to {port.od_max:g} mm",
            )
        findings.expect(diameters == known, f"{use.pointer}/od_mm", "are not the diameters of the cables in the port")
    for tag, cable in facts.cables.items():
        need = 2 if cable.express else 1
        findings.expect(
            entries[tag] == need, "/ports", f"cable {tag} takes {need} places and has {entries[tag]} in the ports"
        )
        findings.expect(
            cable.held is None or set(cable.held) == found.get(tag, set()),
            "/ports",
            f"cable {tag} hung in {', '.join(cable.held or ())} and stays there",
        )
    spare = [name.text() for name in plan["spare_ports"].each()]
    findings.expect(
        sorted(spare) == sorted(set(names) - used), "/spare_ports", "are not the ports that no cable goes through"
    )
    free = sum(port.count * port.cables for port in facts.ports.values()) - sum(entries.values())
    asked = plan["rules"]["spare_entries"].whole()
    findings.expect(free >= asked, "/spare_ports", f"{asked} cable entries are to stay spare and {free} do")
    findings.checked.append(f"{len(facts.cables)} cables in {len(used)} ports, by diameter and places")
