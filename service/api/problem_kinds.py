"""The kinds of problems that callers are told of."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class Kind:
    """A kind of problem: the last part of its address, its usual status, its title, and what to do about it."""

    slug: str
    status: int
    title: str
    explanation: str


_ALL = (
    Kind(
        "bad-request",
        400,
        "The request cannot be understood",
        "The request line or a header cannot be understood. Mend it before sending it again.",
    ),
    Kind(
        "malformed-json",
        400,
        "The body is not valid JSON",
        "Bodies are JSON in UTF-8 and are read strictly: no duplicate names, no NaN or Infinity, no number "
        "that overflows, no lone surrogates, and a limited depth.",
    ),
    Kind(
        "badly-packed",
        400,
        "The body cannot be unpacked",
        "The body is said to be packed with gzip, and is not, or not whole. Pack it again, or send it as it is.",
    ),
    Kind(
        "bad-parameter",
        400,
        "A parameter is not understood",
        "A parameter of the address or a header has no meaning here, or a value out of its range. The "
        "errors name each of them; the published description lists what there is.",
    ),
    Kind(
        "unauthorised",
        401,
        "A token is needed",
        "Send a token that is good as Authorization: Bearer, or sign in where this is a page. Tokens are made by an "
        "administrator of the team, or on the command line of the server.",
    ),
    Kind(
        "not-allowed",
        403,
        "The token does not allow this",
        "The token is good, but it lacks the scope that the detail names. An administrator of the team can make one "
        "that has it.",
    ),
    Kind(
        "not-found",
        404,
        "There is no such thing",
        "Nothing is at this address, or not any more.",
    ),
    Kind(
        "method-not-allowed",
        405,
        "The address does not take this method",
        "The Allow header of the answer lists the methods that the address takes.",
    ),
    Kind(
        "not-acceptable",
        406,
        "No acceptable media type",
        "The Accept header rules out every media type that this address can answer in. Leave it out, or "
        "accept one of those in the detail.",
    ),
    Kind(
        "in-flight",
        409,
        "The first request with this key still runs",
        "A request with the same Idempotency-Key is being worked on. Wait for its answer, or send this one "
        "again in a moment.",
    ),
    Kind(
        "unfinished",
        409,
        "It is not known yet",
        "What is asked for comes of work that has not ended. Ask again after the time in Retry-After; the takeoff "
        "itself says how far it is.",
    ),
    Kind(
        "ordered-already",
        409,
        "It was ordered before",
        "A plan or takeoff stands in an order already that was not withdrawn. The errors name it. Withdraw that order, "
        "or say with again that this is to be ordered once more.",
    ),
    Kind(
        "in-order",
        409,
        "An order still needs it",
        "A plan or takeoff that an order was made from is not removed before that order is issued or withdrawn: until "
        "then everything in the order can be traced to the splice points that need it.",
    ),
    Kind(
        "wrong-state",
        409,
        "The order is not in the right state",
        "An order goes from draft to placed, received and issued, or is withdrawn before it is issued. Only a draft "
        "can be removed.",
    ),
    Kind(
        "held",
        409,
        "Orders hold more than that",
        "The stock of an item cannot be less than what orders hold of it. Withdraw an order, and count again.",
    ),
    Kind(
        "hung-already",
        409,
        "The closure of this plan hangs already",
        "A closure was hung by this plan before. The errors name it. What is added to it is an addition; say again "
        "where another closure hangs by the same plan.",
    ),
    Kind(
        "recorded-already",
        409,
        "It was recorded before",
        "A visit on which this plan was carried out is on record. What is done once more needs a plan of its own.",
    ),
    Kind(
        "changed-meanwhile",
        409,
        "Somebody else was there meanwhile",
        "Another visit to the closure was recorded while this request was worked on, or since the plan was made, and "
        "nothing was stored. Send it again or plan it again: it is then worked out on what lies there by now.",
    ),
    Kind(
        "does-not-fit",
        409,
        "It does not fit",
        "What does not fit cannot be recorded as done. The errors name the limits; without apply the plan says as well "
        "what would help.",
    ),
    Kind(
        "too-slow",
        408,
        "The request came too slowly",
        "A request must have come within a time that the operator sets, a large body within more. Send it again whole.",
    ),
    Kind(
        "cancelled",
        410,
        "It was cancelled meanwhile",
        "Somebody cancelled or removed the takeoff before all of it had come. Send it again if it is still wanted.",
    ),
    Kind(
        "length-required",
        411,
        "The length of the body is needed",
        "This server cannot tell whether a body without a Content-Length came whole. Say how many bytes it has.",
    ),
    Kind(
        "stale",
        412,
        "The resource is not as expected",
        "The resource has changed since it was read, or is there already, or is not there. Read it again, "
        "and send the ETag that it has now.",
    ),
    Kind(
        "too-large",
        413,
        "The body is too large",
        "This server takes bodies up to a limit that its operator sets. Send less at once.",
    ),
    Kind(
        "unsupported-media-type",
        415,
        "The body has the wrong media type",
        "Bodies are application/json, or another type where the published description says so, in UTF-8, and may be "
        "packed with gzip. The answer's Accept or Accept-Encoding names what is taken.",
    ),
    Kind(
        "refused",
        422,
        "The body is refused",
        "The body is JSON, and the schema or the rules of the trade refuse it. The errors name every fault "
        "that was found, with a JSON pointer to its place.",
    ),
    Kind(
        "key-reused",
        422,
        "The key belongs to another body",
        "An Idempotency-Key names one request. Take a new key for another body.",
    ),
    Kind(
        "precondition-required",
        428,
        "A precondition is needed",
        "Say what you expect to change: If-Match with the ETag that you have read, or If-None-Match: * to create.",
    ),
    Kind(
        "too-many-failures",
        429,
        "Too many tokens that are not good",
        "So many requests from this address had a token that is not good that further ones are not looked at for now. "
        "Mend the token, and send the request again after the time in Retry-After.",
    ),
    Kind(
        "quota-exceeded",
        429,
        "Too many requests",
        "Its operator has set how many requests a token, or an address without one, may send to this server in some "
        "seconds. RateLimit says what is left; send the request again after the time in Retry-After.",
    ),
    Kind(
        "internal",
        500,
        "Something went wrong here",
        "The fault is the server's, not the request's. It was logged under the id of the request, which its "
        "operator can look up.",
    ),
    Kind(
        "unavailable",
        503,
        "The server cannot work just now",
        "The database cannot be used at the moment. Send the request again after the time in Retry-After.",
    ),
    Kind(
        "full",
        507,
        "There is no room left",
        "The disk of the database is full. What was stored before stands; nothing of this request was stored.",
    ),
)

KINDS: Mapping[str, Kind] = {kind.slug: kind for kind in _ALL}
