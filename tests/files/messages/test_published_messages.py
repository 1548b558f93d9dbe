"""The example messages of the standards, read to the meaning that is published with them.

Sources. Movement messages: IATA Airport Handling Manual, AHM 780 "Aircraft movement message" and AHM 730 "Codes to be
used in aircraft handling and delay" (element lines as in the manual's examples; carriers, registrations and airports
are replaced by invented ones). Load messages: AHM 583; that infants have no seat and are counted apart stands in
Avinor's published mapping of its elements 6 to 13. Weather: WMO-No. 306, FM 15, FM 16 and FM 51; the reports are made
up after its code form.

An independent parser reads the same messages: `mvt-parser` (MIT) the movements, `metar` (BSD) the observations.
"""

from __future__ import annotations

from datetime import UTC, datetime, timedelta

import pytest
from metar.Metar import Metar
from mvt_parser import MVTParser

from legtide.day.document import Aircraft, Day, Leg, Station
from legtide.files.messages import apply, read_messages
from legtide.files.messages.records import Movement, Report
from support.days import rotation_day


def at(day: int, hour: int, minute: int) -> datetime:
    return datetime(2026, 5, day, hour, minute, tzinfo=UTC)


@pytest.fixture
def evening() -> Day:
    """One leg of the 12th, scheduled 22:25 to 23:40, by an invented carrier."""
    plain = rotation_day(1.0, 1)
    leg = Leg(
        id="l1",
        aircraft="QM-AUK",
        flight="X0 201",
        origin="OZM",
        destination="TQB",
        std=at(12, 22, 25),
        sta=at(12, 23, 40),
        passengers=100,
        crew=6,
    )
    return plain.model_copy(
        update={
            "date": at(12, 0, 0).date(),
            "stations": (Station(code="OZM"), Station(code="TQB")),
            "aircraft": (Aircraft(registration="QM-AUK", fit="f"),),
            "legs": (leg,),
        }
    )


DEPARTURE = """MVT
X0201/12.QMAUK.OZM
AD122235/122251 EA2337 TQB
DL16/0010
PX154
"""
ARRIVAL = """MVT
X0201/12.QMAUK.TQB
AA122350/130005
"""


def test_the_published_departure(evening: Day) -> None:
    """Off blocks 22:35, ten minutes late for code 16; airborne 22:51; expected 23:37; 154 passengers."""
    made = apply(evening, read_messages(DEPARTURE))
    leg = made.day.legs[0]
    assert (leg.atd, leg.eta, leg.passengers) == (at(12, 22, 35), at(12, 23, 37), 154)
    assert made.not_understood == ()
    assert [note.text for note in made.notes] == ["X0 201 OZM-TQB: delay code 16 10 min"]


def test_the_published_arrival_crosses_midnight(evening: Day) -> None:
    """Touchdown 23:50 on the 12th, on blocks 00:05 on the 13th: fifteen minutes of taxiing."""
    messages = read_messages(ARRIVAL)
    movement = messages.messages[0]
    assert isinstance(movement, Movement)
    assert movement.touchdown is not None
    assert movement.touchdown.minutes == 23 * 60 + 50
    leg = apply(evening, messages).day.legs[0]
    assert leg.ata == at(13, 0, 5)
    assert leg.ata - at(12, 23, 50) == timedelta(minutes=15)


@pytest.mark.parametrize("times", ["AA2350/0005", "AA122350/0005", "AA2350/130005"])
def test_the_arrival_crosses_midnight_without_days_too(evening: Day, times: str) -> None:
    assert apply(evening, read_messages(ARRIVAL.replace("AA122350/130005", times))).day.legs[0].ata == at(13, 0, 5)


def test_the_published_delay_codes() -> None:
    """31 for five minutes and 62 for fifteen; then the same with their letters and no durations."""
    found = read_messages("MVT\nX0201/12.QMAUK.OZM\nDL31/62/0005/0015\nDLA31C/62A//\n")
    movement = found.messages[0]
    assert isinstance(movement, Movement)
    assert [(delay.codes, delay.minutes) for delay in movement.delays] == [
        (("31", "62"), (5, 15)),
        (("31C", "62A"), ()),
    ]
    assert found.not_understood == ()


def test_codes_that_bear_on_servicing_are_named(evening: Day) -> None:
    """AHM 730: 34 servicing equipment, 35 aircraft cleaning, 09 scheduled ground time."""
    made = apply(evening, read_messages("MVT\nX0201/12.QMAUK.OZM\nED122250\nDL34/35/0015/0005\n"))
    assert made.day.legs[0].etd == at(12, 22, 50)
    assert made.notes[0].text.endswith("delay code 34 (servicing equipment) 15 min, 35 (cabin cleaning) 5 min")


def test_infants_count_as_heads(evening: Day) -> None:
    """AHM 583: adults, children and infants; infants are not among the seated, but they are aboard."""
    text = "LDM\nX0201/12.QMAUK.Y180.2/4\n-TQB.108/32/8.T1250.1/550.2/700.PAX/140.PAD/0\n"
    leg = apply(evening, read_messages(text)).day.legs[0]
    assert (leg.passengers, leg.crew) == (148, 6)
    assert apply(evening, read_messages(DEPARTURE.replace("PX154", "PX12/142+3"))).day.legs[0].passengers == 157


# independent parsers --------------------------------------------------------------------------------------


def written(time: object) -> str | None:
    from legtide.files.messages.records import WrittenTime
    from legtide.files.messages.times import written as words

    return words(time) if isinstance(time, WrittenTime) else None


@pytest.mark.parametrize(
    "text",
    [
        DEPARTURE,
        ARRIVAL,
        "MVT COR\nX0201/12.QMAUK.OZM\nAD2235/2251 EA2337 TQB\nPX154\n",
        "MVT\nX0201/12.QMAUK.OZM\nED122250\nDL31/0005\n",
        "MVT\nX0201/12.QMAUK.TQB\nEA2345 TQB\n",
        "MVT\nX0201/12.QMAUK.TQB\nEB2358\n",
    ],
)
def test_an_independent_parser_reads_the_same_movement(text: str) -> None:
    other = MVTParser().parse(text)
    ours = read_messages(text).messages[0]
    assert isinstance(ours, Movement)
    assert ours.head.flight == other.flight_number
    assert f"{ours.head.day:02d}" == other.scheduled_day
    assert ours.head.registration == other.aircraft_registration
    assert ours.station == other.airport_of_movement
    assert ours.correction == other.is_correction
    for pair, first, second in (
        (other.actual_departure, ours.off_blocks, ours.airborne),
        (other.actual_arrival, ours.touchdown, ours.on_blocks),
    ):
        assert (pair.primary if pair else None) == written(first)
        assert (pair.secondary if pair else None) == written(second)
    assert other.estimated_arrival == written(ours.estimated_touchdown)
    assert other.estimated_onblock == written(ours.estimated_on_blocks)
    assert other.estimated_departure == written(ours.estimated_off_blocks)
    assert [delay.reason_codes for delay in other.delays] == [list(delay.codes) for delay in ours.delays]
    assert (other.passenger_info.total if other.passenger_info else None) == ours.passengers


REPORTS = {
    "METAR OZMX 121350Z 24012KT 9999 FEW030 04/M01 Q1018 NOSIG=": 4.0,
    "METAR COR OZMX 121350Z AUTO 00000KT 0200 R24/0400 FZFG VV001 M07/M08 Q1031=": -7.0,
    "SPECI OZMX 121405Z 33025G40KT 1500 SN BKN008 M00/M01 Q0999 TEMPO 0600 +SN=": 0.0,
    "METAR OZMX 121350Z 25004KT 1 1/2SM BR OVC005 16/ A2992 RMK AO2 T01561022=": 16.0,
    "OZMX 121350Z 25004KT CAVOK 31/12 Q1009": 31.0,
}


@pytest.mark.parametrize(("text", "air_c"), REPORTS.items())
def test_an_independent_parser_reads_the_same_temperature(text: str, air_c: float) -> None:
    report = read_messages(text).messages[0]
    assert isinstance(report, Report)
    assert report.air_c == air_c
    # Tenths in the remarks of some countries are finer than the group itself, which is what is read here.
    other = Metar(text.partition(" RMK")[0].rstrip("="), month=5, year=2026, strict=False)
    assert other.temp is not None
    assert other.temp.value("C") == report.air_c
    assert other.station_id == report.station


def test_a_forecast_gives_its_lowest_temperature() -> None:
    """FM 51: TX is the highest, TN the lowest temperature with its time; M is minus."""
    text = "TAF OZMX 121100Z 1212/1318 24010KT 9999 BKN030 TX03/1214Z TNM05/1304Z\n  BECMG 1220/1222 33015KT\n"
    found = read_messages(text)
    report = found.messages[0]
    assert isinstance(report, Report)
    assert (report.kind, report.station, report.air_c) == ("TAF", "OZMX", -5.0)
    assert found.not_understood == ()
