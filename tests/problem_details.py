"""What tests ask of a refusal: problem details (RFC 9457) that point at what was wrong."""

PROBLEM = "application/problem+json"


def refused(response, status, *pointers):
    """Hold an answer against a status and the pointers of its errors, all of them."""
    assert response.status_code == status, response.content
    assert response["Content-Type"] == PROBLEM
    assert {error["pointer"] for error in response.json().get("errors", [])} == set(pointers)
