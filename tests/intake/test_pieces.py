"""A table that is read piece by piece is the table that is read at once."""

import pytest

from slabwright.intake import delimited, read_bytes

TEXTS = {
    "numbers": "2001,1000\n2002,1100\n2003,1200\n2004,1300\n2005,1400\n",
    "words late": "2001,1000\n2002,1100\n2003,1200\n2004,about 1300\n2005,1.40e3\n",
    "words early": "2001,n/a\n2002,01100\n2003,1200\n2004,1300\n2005,1400.50\n",
    "empty pieces": "2001,\n2002,\n2003,1200 x\n2004,\n,\n",
    "truth": "2001,TRUE\n2002,TRUE\n2003,1\n2004,2\n2005,3\n",
    "quoted": '2001,"1000"\n2002,"1,100"\n\n2004,1300\n2005,"x"\n',
}


@pytest.mark.parametrize("name", TEXTS)
def test_pieces_join_to_the_whole(monkeypatch: pytest.MonkeyPatch, name: str) -> None:
    data = ("year,daily_traffic\n" + TEXTS[name]).encode()
    (whole,) = read_bytes(data, "a.csv", table="counts")
    monkeypatch.setattr(delimited, "ROWS_AT_ONCE", 2)
    (joined,) = read_bytes(data, "a.csv", table="counts")
    assert joined.frame.equals(whole.frame)
    assert joined.findings == whole.findings
    assert joined.source_rows.tolist() == whole.source_rows.tolist()
