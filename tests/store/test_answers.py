from evenfall.store import Barn, answers


def test_a_readers_answers_stand_oldest_first_and_apart(barn: Barn) -> None:
    first = answers.add(barn, "Ann", kind="name", question={"film": 3}, answer={"zone": "even"}, right=True)
    second = answers.add(barn, "Ann", kind="time", question={}, answer={"off_s": 0.02})
    answers.add(barn, "Bob", kind="name", question={}, answer={}, right=False)
    assert answers.of_reader(barn, "Ann") == (first, second)
    assert (first.right, second.right, second.answer) == (True, None, {"off_s": 0.02})
    assert answers.of_reader(barn, "ann") == ()
