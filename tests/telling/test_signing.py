"""Signatures: those of the Standard Webhooks specification, held against its own library for Python."""

from __future__ import annotations

import time

import pytest
from hypothesis import given
from hypothesis import strategies as st
from standardwebhooks.webhooks import Webhook, WebhookVerificationError

from service.domain.webhook_secret import SECRET_BYTES, key_of, new_secret
from service.telling.signing import signed_headers


def test_the_published_example_comes_out() -> None:
    """Key, id, time, body and signature as the specification's own tests of its PHP library have them."""
    secret = "whsec_MfKQ9r8GKYqrTwjUPD8ILPZIo2LaLaSw"
    headers = signed_headers("msg_p5jXN8AQM9LWM0D4loKWxJek", 1614265330, b'{"test": 2432232314}', [secret])
    assert headers["webhook-signature"] == "v1,g0hM9SsE+OTPJTGt/tmIKtSyZlE3uFJELVlNIOLJ1OE="
    assert headers["webhook-id"] == "msg_p5jXN8AQM9LWM0D4loKWxJek"
    assert headers["webhook-timestamp"] == "1614265330"


@given(text=st.dictionaries(st.text(), st.text() | st.integers() | st.none()))
def test_the_reference_library_takes_what_is_signed(text: dict[str, object]) -> None:
    """Whatever stands in the body; and it refuses the same with another id, another body or another secret."""
    import orjson

    try:
        body = orjson.dumps(text)
    except (TypeError, orjson.JSONEncodeError):
        return
    secret = new_secret()
    headers = signed_headers("e3b7c8d9", int(time.time()), body, [secret])
    assert Webhook(secret).verify(body, headers) == orjson.loads(body)
    for other, said, key in (
        (body + b" ", headers, secret),
        (body, {**headers, "webhook-id": "e3b7c8da"}, secret),
        (body, headers, new_secret()),
    ):
        with pytest.raises(WebhookVerificationError):
            Webhook(key).verify(other, said)


def test_while_a_secret_is_changed_either_one_will_do() -> None:
    """Two signatures with a blank between, and the reference library finds its own in either place."""
    new, old = new_secret(), new_secret()
    headers = signed_headers("e3b7c8d9", int(time.time()), b"{}", [new, old])
    assert len(headers["webhook-signature"].split(" ")) == 2
    assert Webhook(new).verify(b"{}", headers) == Webhook(old).verify(b"{}", headers) == {}


def test_a_secret_is_long_enough_and_another_each_time() -> None:
    """The specification asks for 24 to 64 random bytes in Base64 behind ``whsec_``."""
    made = {new_secret() for _ in range(50)}
    assert len(made) == 50
    assert all(len(key_of(each)) == SECRET_BYTES for each in made)
    assert 24 <= SECRET_BYTES <= 64
