import os
from pathlib import Path

import pytest

from evenfall.errors import WrongSetting
from evenfall.flow.study.groups import parse_groups
from evenfall.flow.study.listing import Listing, list_films


def laid_out(folder: Path, *places: str) -> Path:
    for place in places:
        path = folder / place
        path.parent.mkdir(parents=True, exist_ok=True)
        path.write_bytes(b"x")
    return folder


def places(listing: Listing) -> list[str]:
    return [film.stamp[0] for film in listing.films]


def codes(listing: Listing) -> dict[str, str]:
    return {each.place: each.code for each in listing.unread}


def test_films_are_found_in_order_with_their_group_and_the_contacts_beside_them(tmp_path: Path) -> None:
    laid_out(
        tmp_path, "b/Zoë 2.MOV", "b/day 1/a.mp4", "b/day 1/a.csv", "a.mp4", "b/notes.txt", "b/.hidden.mp4"
    )
    listing = list_films(tmp_path)
    assert places(listing) == ["a.mp4", "b/Zoë 2.MOV", "b/day 1/a.mp4"]
    assert [film.group for film in listing.films] == ["", "b", "b"]
    contacts = [film.contacts and film.contacts[0] for film in listing.films]
    assert contacts == [None, None, "b/day 1/a.csv"]


def test_where_the_study_is_written_is_not_looked_into(tmp_path: Path) -> None:
    laid_out(tmp_path, "a.mp4", "study/b.mp4")
    assert places(list_films(tmp_path, leave_out=tmp_path / "study")) == ["a.mp4"]


def test_links_to_folders_and_what_is_no_file_are_told(tmp_path: Path) -> None:
    laid_out(tmp_path, "a.mp4")
    (tmp_path / "round").symlink_to(tmp_path)
    (tmp_path / "gone.mp4").symlink_to(tmp_path / "nowhere.mp4")
    os.mkfifo(tmp_path / "pipe.mp4")
    listing = list_films(tmp_path)
    assert places(listing) == ["a.mp4"]
    assert codes(listing) == {"round": "link_not_followed", "gone.mp4": "no_file", "pipe.mp4": "no_file"}


def test_a_folder_that_may_not_be_looked_into_is_told_and_the_others_are_read(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    laid_out(tmp_path, "a.mp4", "locked/b.mp4", "open/c.mp4")
    look = os.scandir

    def refusing(path: Path) -> object:
        if Path(path).name == "locked":
            raise PermissionError(13, "Permission denied")
        return look(path)

    monkeypatch.setattr(os, "scandir", refusing)
    listing = list_films(tmp_path)
    assert places(listing) == ["a.mp4", "open/c.mp4"]
    assert codes(listing) == {"locked": "unreadable_folder"}
    assert "Permission denied" in listing.unread[0].reason


def test_a_folder_without_films_is_refused(tmp_path: Path) -> None:
    with pytest.raises(WrongSetting, match=r"expected films \(.*\.mp4.*\) .*found none"):
        list_films(laid_out(tmp_path, "notes.txt"))
    with pytest.raises(WrongSetting, match="expected a folder of films, found nothing"):
        list_films(tmp_path / "not there")
    with pytest.raises(WrongSetting, match="found a file"):
        list_films(tmp_path / "notes.txt")


def test_the_groups_file_counts_before_the_folder_and_the_file_beside(tmp_path: Path) -> None:
    laid_out(tmp_path, "x/Zoë.mp4", "x/Zoë.csv", "marks/z.csv", "x/b.mp4")
    said = "film,group,horse,capture_fps,facing,contacts\nx/Zoe\u0308.mp4,shod,Zoë,240,left,marks/z.csv\n"
    zoe, b = list_films(tmp_path, parse_groups(said.encode())).films
    assert (zoe.group, zoe.horse, zoe.capture_fps, zoe.facing) == ("shod", "Zoë", 240.0, "left")
    assert zoe.contacts is not None
    assert zoe.contacts[:2] == ("marks/z.csv", 1)
    assert (b.group, b.horse) == ("", "")


def test_without_a_column_group_the_folder_still_is_the_group(tmp_path: Path) -> None:
    laid_out(tmp_path, "x/a.mp4")
    assert list_films(tmp_path, parse_groups(b"film,horse\nx/a.mp4,Juno\n")).films[0].group == "x"


def test_films_that_are_named_and_not_there_are_told(tmp_path: Path) -> None:
    laid_out(tmp_path, "a.mp4")
    listing = list_films(tmp_path, parse_groups(b"film,group\na.mp4,x\nb.mp4,x\n"))
    assert codes(listing) == {"b.mp4": "film_missing"}


def test_a_contacts_file_that_is_not_there_is_the_films_own_trouble(tmp_path: Path) -> None:
    laid_out(tmp_path, "a.mp4")
    (film,) = list_films(tmp_path, parse_groups(b"film,contacts\na.mp4,gone.csv\n")).films
    assert film.contacts == ("gone.csv", -1, 0)
