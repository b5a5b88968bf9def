"""Teams and tokens in the database."""

from __future__ import annotations

from datetime import UTC, datetime, timedelta

import pytest
from sqlalchemy import text

from service.domain.access import Team, Token
from service.domain.token_text import TokenText, digest_of_secret, read_token, same_secret
from service.store import USED_EVERY, AnyRevision, NotFound, Revision, Stale, Store

NOW = datetime.now(UTC)


def made(store: Store, team: str = "default", name: str = "Crew") -> tuple[Token, TokenText]:
    return store.access.make(store.access.made_team(team), name, ("read", "build"), NOW + timedelta(days=1))


def test_a_database_begins_with_the_default_team_and_no_token(store: Store) -> None:
    """What was there before teams belongs to that one."""
    assert [team.name for team in store.access.teams()] == ["default"]
    assert not store.access.any_token()


def test_a_team_is_made_once(store: Store) -> None:
    """Named again it is the same one; a team nobody made is not there."""
    first = store.access.made_team("north")
    assert store.access.made_team("north") == first == store.access.team("north")
    with pytest.raises(NotFound):
        store.access.team("south")


def test_a_token_is_kept_without_its_secret(store: Store) -> None:
    """No column of any row has the secret, and its hash lets the secret in and no other."""
    token, shown = made(store)
    held = store.access.held(token.id)
    assert held is not None
    assert held.token == token
    assert same_secret(shown.secret, held.digest)
    assert not same_secret(shown.secret[:-1] + "~", held.digest)
    with store._engines.reading() as connection:
        rows = str(connection.execute(text("SELECT * FROM tokens")).all())
    assert shown.secret not in rows
    assert digest_of_secret(shown.secret) in rows


def test_secrets_are_as_long_as_they_say_and_never_the_same(store: Store) -> None:
    """256 bits in 43 characters; the text is read back, and its ``repr`` keeps the secret."""
    some = {str(made(store)[1]) for _ in range(20)}
    assert len(some) == 20
    for each in some:
        read = read_token(each)
        assert read is not None
        assert str(read) == each
        assert read.secret not in repr(read)


@pytest.mark.parametrize("text", ["", "tw_", "x", f"tw_{'0' * 32}_{'a' * 42}", f"tw_{'0' * 32}_{'a' * 43}\n", "tw_é"])
def test_what_is_no_token_is_not_read_as_one(text: str) -> None:
    """Too short, too long, or with something behind it."""
    assert read_token(text) is None


def test_a_revoked_token_stays_on_record(store: Store) -> None:
    """It is not good any more, revoking it again changes nothing, and the database still has a token."""
    token, _ = made(store)
    with pytest.raises(Stale):
        store.access.revoke(token.team, token.id, Revision(2))
    revoked = store.access.revoke(token.team, token.id, Revision(1))
    assert revoked.revision == 2
    assert not revoked.good_at(NOW)
    assert store.access.revoke(token.team, token.id, AnyRevision()) == store.access.get(token.team, token.id) == revoked
    assert store.access.any_token()


def test_a_token_of_another_team_is_not_there(store: Store) -> None:
    """It is neither read, listed nor revoked."""
    token, _ = made(store, "north")
    south: Team = store.access.made_team("south")
    with pytest.raises(NotFound):
        store.access.get(south, token.id)
    with pytest.raises(NotFound):
        store.access.revoke(south, token.id, AnyRevision())
    assert store.access.listed(south) == []
    assert [each.id for each in store.access.listed(token.team)] == [token.id]


def test_tokens_are_listed_in_pages_from_the_newest(store: Store) -> None:
    """Each page goes on behind the last token of the one before."""
    team = store.access.made_team("north")
    ids = [made(store, "north")[0].id for _ in range(5)]
    first = store.access.listed(team, 3)
    second = store.access.listed(team, 3, (first[-1].created, first[-1].id))
    assert [each.id for each in first + second] == ids[::-1]


def test_when_a_token_was_used_is_noted_coarsely(store: Store) -> None:
    """A use within some minutes of the one noted is not written; a later one is."""
    token, _ = made(store)
    for moment, noted in ((NOW, NOW), (NOW + USED_EVERY / 2, NOW), (NOW + USED_EVERY, NOW + USED_EVERY)):
        store.access.note_use(token.id, moment)
        assert store.access.get(token.team, token.id).used == noted
