"""Starting things at the same moment, each in a thread with its own connection."""

from threading import Barrier, Thread

from django.db import connection

PATIENCE_S = 20


def at_once(*calls):
    """Return what each call returned or raised, all of them begun together."""
    outcomes = [None] * len(calls)
    ready = Barrier(len(calls), timeout=PATIENCE_S)

    def run(index, call):
        try:
            connection.ensure_connection()
            ready.wait()
            outcomes[index] = call()
        except Exception as error:
            outcomes[index] = error
        finally:
            connection.close()

    threads = [
        Thread(target=run, args=numbered, daemon=True) for numbered in enumerate(calls)
    ]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join(PATIENCE_S)
        assert not thread.is_alive(), "the writers wait for each other"
    return outcomes


def told_apart(outcomes, refusal):
    """Return (successes, refusals); any other error fails the test."""
    refused = [outcome for outcome in outcomes if isinstance(outcome, refusal)]
    done = [outcome for outcome in outcomes if not isinstance(outcome, Exception)]
    others = [o for o in outcomes if o not in refused and o not in done]
    assert not others, others
    return done, refused
