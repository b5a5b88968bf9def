"""Trays that are put, changed, removed, and retired where closures name them."""

from __future__ import annotations

from hypothesis import strategies as st
from hypothesis.stateful import rule

from tests.catalogue_documents import closure, tray
from tests.faults.life.served import Served

CODES = st.sampled_from(["t-1", "t-2", "t-3"])


class Catalogue(Served):
    """The catalogue's part of a life: three trays, and closures that name the third."""

    @rule(code=CODES, title=st.sampled_from(["one", "two"]))
    def tray_put(self, code: str, title: str) -> None:
        """A tray is created or changed; the same again makes no new revision, and numbers are never used twice."""
        if code in self.retired:
            return
        standing = self.trays.get(code)
        headers = {"If-None-Match": "*"} if standing is None else {"If-Match": f'"{standing[1]}"'}
        answer = self.client.put(f"/v1/trays/{code}", json=tray(code, title=title), headers=headers)
        assert answer.status_code == (201 if standing is None else 200), answer.data
        if standing is None or standing[0] != title:
            self.numbers[code] += 1
        self.trays[code] = (title, self.numbers[code])

    @rule(code=CODES)
    def tray_put_by_a_stale_reader(self, code: str) -> None:
        """Whoever has read another revision changes nothing, and creates nothing where something stands."""
        if code in self.trays:
            stale = {"If-Match": f'"{self.trays[code][1] + 1}"'}
            assert self.client.put(f"/v1/trays/{code}", json=tray(code), headers=stale).status_code == 412
            assert self.client.delete(f"/v1/trays/{code}", headers=stale).status_code == 412
            new = {"If-None-Match": "*"}
            assert self.client.put(f"/v1/trays/{code}", json=tray(code), headers=new).status_code == 412
            assert self.client.put(f"/v1/trays/{code}", json=tray(code)).status_code == 428

    @rule(code=CODES)
    def tray_removed(self, code: str) -> None:
        """What nothing uses is gone; what a closure names is retired; what is not there cannot be removed."""
        if code in self.retired:
            return
        answer = self.client.delete(f"/v1/trays/{code}", headers={"If-Match": "*"})
        assert answer.status_code == (204 if code in self.trays else 404)
        if code not in self.trays:
            return
        self.numbers[code] += 1
        if code in self.named:
            self.retired.add(code)
            self.trays[code] = (self.trays[code][0], self.numbers[code])
            assert self.client.get(f"/v1/trays/{code}").get_json()["retired"] is True
        else:
            del self.trays[code]
            assert self.client.get(f"/v1/trays/{code}").status_code == 404

    @property
    def named(self) -> set[str]:
        """The trays that closures name."""
        return {code for code, number in self.numbers.items() if code.startswith("t-") and f"c{code}" in self.numbers}

    @rule(code=CODES)
    def closure_put(self, code: str) -> None:
        """A closure may name a tray that is there and not retired, and no other."""
        if code in self.named:
            return
        document = closure(f"c{code}", trays=[{"tray": code, "most": 2}])
        answer = self.client.put(f"/v1/closures/c{code}", json=document, headers={"If-None-Match": "*"})
        good = code in self.trays and code not in self.retired
        assert answer.status_code == (201 if good else 422), answer.data
        if good:
            self.numbers[f"c{code}"] = 1
