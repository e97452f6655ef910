"""Side branches of a conversation: every command, every key, the pause; each is tried and dropped."""

from __future__ import annotations

from bench.dialogue.always import ALWAYS
from bench.dialogue.events import Key, Pressed
from tests.dialogue.conversation import Conversation, Differs, phrase_of

_MOVES = ("next", "back", "undo", "cancel", "start_over")


def every_command(talk: Conversation) -> None:
    """Each always-valid command and each key, from this place: answered, nothing lost, always a way on."""
    for command in ALWAYS:
        branch = talk.branch()
        branch.say(phrase_of(command))
        _look(talk, branch, command)
        if command not in _MOVES and command not in ("stop_listening", "start_listening"):
            require_same_place(talk, branch, command)
        if command == "stop_listening":
            paused_means_paused(branch)
    for key in Key:
        branch = talk.branch()
        branch.take(Pressed(key))
        _look(talk, branch, f"key {key}")


def paused_means_paused(talk: Conversation) -> None:
    """Nothing said acts but the wake phrase; a key wakes it too."""
    if not talk.state.paused or not talk.view.paused:
        raise Differs(f"not paused at {talk.stage}")
    before = talk.state.now
    for words in ("next", "yes", "no", "undo", "thirty one and a quarter", "what can i say"):
        talk.say(words)
        if talk.state.now != before or not talk.state.paused or talk.spoken:
            raise Differs(f"{words!r} acted while paused at {talk.stage}")
    woken = talk.branch()
    woken.take(Pressed(Key.PAUSE))
    talk.say(phrase_of("start_listening"))
    for one in (woken, talk):
        if one.state.paused or one.state.now != before or "Listening" not in one.reply:
            raise Differs(f"did not wake at {one.stage}")


def require_same_place(talk: Conversation, branch: Conversation, what: str) -> None:
    """What only asks or tunes moves nothing."""
    if branch.state.now != talk.state.now or branch.state.past != talk.state.past:
        raise Differs(f"{what} moved the job at {talk.stage}")


def _look(talk: Conversation, branch: Conversation, what: str) -> None:
    """An answer that is heard or seen; taken back by `undo` where it moved."""
    tuned = what == "hush"
    if not branch.reply and not tuned and not branch.state.quiet:
        raise Differs(f"{what} at {talk.stage} is answered by nothing")
    if not branch.view.say:
        raise Differs(f"{what} at {talk.stage} leaves nothing to say")
    if len(branch.state.past) > len(talk.state.past) or branch.state.past[-1:] != talk.state.past[-1:]:
        if what == "undo":
            return
        undone = branch.branch()
        undone.say("undo")
        if undone.state.now != talk.state.now:
            raise Differs(f"undo after {what} at {talk.stage} does not come back")
